"""One picture: opened safely, upright, and brought to size and space."""
