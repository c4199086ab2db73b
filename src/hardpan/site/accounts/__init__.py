"""Companies and their people: accounts, passwords, invitations."""
