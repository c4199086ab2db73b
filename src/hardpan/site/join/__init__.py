"""How a crew joins a street: a code that the foreman shows, a role, a name they choose, no password."""
