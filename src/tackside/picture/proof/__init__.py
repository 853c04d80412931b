"""A picture as a card will show it."""
