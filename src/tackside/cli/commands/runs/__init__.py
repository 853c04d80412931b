"""Commands about runs."""
