"""Which profile is nearest to a card."""
