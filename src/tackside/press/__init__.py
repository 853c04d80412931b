"""A virtual press and scanner: the demo's hardware and the tests' ground truth."""
