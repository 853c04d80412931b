"""What a verdict rests on: evidence in figures and in answers."""
