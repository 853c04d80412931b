"""Scans: find the sheet by its marks and tag, rectify, sample, place the print, judge lines."""

from tackside.reading.scan.locate import Located, locate
from tackside.reading.scan.overlay import overlay
from tackside.reading.scan.read import read_scan

__all__ = ["Located", "locate", "overlay", "read_scan"]
