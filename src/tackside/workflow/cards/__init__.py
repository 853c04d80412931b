"""Jobs about cards: laid out and made by what the bench knows of their way into the printer."""
