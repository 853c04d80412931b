"""Scanning from here: what a scanner offers, what it is asked for, and what it really gave."""
