"""What a good colour path shows of a path sheet on a given gamut: the figures behind the limits for path sheets."""
