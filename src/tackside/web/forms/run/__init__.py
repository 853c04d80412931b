"""The form of a run."""
