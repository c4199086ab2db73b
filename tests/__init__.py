"""The tests; a package, so that no other package called tests comes before it."""
