"""Exact money, cost and price."""
