"""Tackside: test card stocks on a small inkjet, find the fault, make the card."""

__version__ = "0.1.0"
