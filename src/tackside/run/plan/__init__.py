"""The plan of a run: what it takes and when it is ready."""
