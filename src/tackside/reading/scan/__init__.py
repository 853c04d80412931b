"""Scans: find the sheet by its marks and tag, rectify, sample, place the print, judge lines."""

from tackside.reading.scan.read import Located, locate, read_located, read_scan

__all__ = ["Located", "locate", "read_located", "read_scan"]
