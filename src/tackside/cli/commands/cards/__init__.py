"""Commands about cards."""
