"""How profiles look at the terminal: one, a list of them, one that was built here."""
