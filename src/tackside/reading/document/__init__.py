"""A document that a scanner made: the one picture on each of its pages."""
