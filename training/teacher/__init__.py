"""Invented prints to teach the verdict's weights on: printers, the ways from file to paper, faults, scanners."""
