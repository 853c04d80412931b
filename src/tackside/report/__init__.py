"""What a person hands on: the publishable comparison."""
