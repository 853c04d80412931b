"""Which profile comes closest to a card."""
