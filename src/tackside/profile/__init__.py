"""ICC profiles: working spaces, and colours through a profile."""
