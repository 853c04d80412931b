"""Measures, grade, cause and comparison of readings."""
