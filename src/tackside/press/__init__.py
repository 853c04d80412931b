"""A virtual press and scanner: the demo's hardware and the tests' ground truth. Its figures are invented."""
