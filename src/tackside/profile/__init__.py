"""ICC profiles: our own working spaces, what a profile says of itself, colours and pictures through one."""
