"""Which card, profile and intent suit pictures."""
