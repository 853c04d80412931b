"""A card in its envelope, and the post's limits."""
