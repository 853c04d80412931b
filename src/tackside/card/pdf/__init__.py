"""A card as PDF."""
