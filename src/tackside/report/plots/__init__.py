"""The report's drawings: each a pure function from numbers to an inline SVG string.

Colours of lines and type are CSS classes, so that light, dark and print can differ; colours of patches are
fixed.
"""
