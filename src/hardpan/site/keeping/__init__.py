"""Keeping the store and bringing it back: backups, restores, and whether all is well.

``archive`` is the file format, ``rows`` how rows of the store become lines of it and rows again.
"""
