"""Commands about profiles and pictures."""
