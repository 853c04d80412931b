"""Photographs of prints, by physics that the reading of photographs knows nothing of, and the study made of them."""
