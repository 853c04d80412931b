"""Addresses of test prints, from the guide to the report."""
