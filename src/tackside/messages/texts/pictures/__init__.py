"""Profiles, gamuts, pictures, proofs and the choice of a card."""
