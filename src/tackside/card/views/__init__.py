"""Drawings of a card and its sheet for people."""
