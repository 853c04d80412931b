"""A printer's profile built from measured patches: fit, tables both ways, gamut mapping, tags, and how good it is."""
