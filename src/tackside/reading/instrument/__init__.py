"""Instrument files, CGATS.17 and CxF/X-3, to patches."""
