"""Scans: find the sheet by its marks and tag, rectify, sample, place the print, judge lines."""
