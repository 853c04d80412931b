"""What reads files and answers of others, tried with inputs that find new ways through it; ``targets`` has the list."""
