"""Colour numbers: spaces, adaptation, difference, density, gamut."""
