"""Type: direction, shaping, lines, fonts."""
