"""Colour numbers: spaces, adaptation, difference, density, spectra, gamut.

Import from the module that holds the idea (``tackside.colour.difference.delta_e_2000``), so that a
command loads no more than it needs. All functions take arrays whose last axis is the colour.
"""
