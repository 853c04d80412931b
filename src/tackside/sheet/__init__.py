"""Test sheets drawn for one stock and one printer: the plan of what stands where, its pixels, its files."""
