"""Measures of one reading, with their uncertainty, and of one reading beside another."""
