"""How a person reaches it from a terminal."""
