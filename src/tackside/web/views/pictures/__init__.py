"""What pages of pictures, profiles and proofs show."""
