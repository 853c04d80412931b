"""What leads a person on: what comes after what."""
