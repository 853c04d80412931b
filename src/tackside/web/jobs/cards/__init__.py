"""Jobs about cards and runs."""
