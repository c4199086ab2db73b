"""The hand-over record of a stored street, and what lies ahead of its crew."""
