"""What stands and what was withdrawn: the words on it, and which trial stands for a card."""
