"""Solids of colours that a device holds, and drawing other colours into them."""
