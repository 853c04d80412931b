"""What pages of cards and runs show."""
