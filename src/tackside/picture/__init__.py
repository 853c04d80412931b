"""One picture: opened safely, brought to size and space."""
