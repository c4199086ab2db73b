"""The store of the ledger: entries as they came, in the order in which they came, never changed."""
