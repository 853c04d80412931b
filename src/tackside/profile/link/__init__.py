"""A picture's numbers through a card: device links and conversion."""
