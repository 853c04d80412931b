"""Addresses of cards and runs."""
