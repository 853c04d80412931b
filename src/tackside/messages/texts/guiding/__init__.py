"""What leads a person: questions and what was typed, practice."""
