"""A printer with a card in it as a function, and its inverse."""
