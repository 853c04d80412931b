"""Scan from here: scanners found and remembered, a sheet scanned, read and judged, for terminal and browser alike."""
