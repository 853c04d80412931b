"""How outcomes look on the terminal."""
