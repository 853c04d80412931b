"""Marks and tags seen in a scan, and which of them belong to one sheet."""
