"""Addresses of pictures, profiles, gamuts and proofs."""
