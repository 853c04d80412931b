"""Photographs by a phone: what is wrong with one, and two prints read from it."""
