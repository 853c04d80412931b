"""One card for each row of a list."""
