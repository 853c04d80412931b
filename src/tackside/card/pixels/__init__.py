"""A face of the card as pixels."""
