"""Pictures of tickets and ground: drawn anew before they are kept, so that nothing hides in them."""
