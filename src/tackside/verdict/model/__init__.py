"""Forward models: what patches read on a card under each fault of the path."""
