"""One test print, from its reading to its verdict."""
