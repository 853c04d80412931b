"""What to fix in a picture before any ink."""
