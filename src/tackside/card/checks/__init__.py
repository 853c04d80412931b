"""What a card maker should know before the sheet goes in."""
