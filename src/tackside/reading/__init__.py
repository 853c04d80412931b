"""What comes back from a trial: instrument files and scans."""

from tackside.reading.instrument import looks_like_instrument_file, read_instrument_file
from tackside.reading.scan import locate, read_located, read_scan

__all__ = ["locate", "looks_like_instrument_file", "read_instrument_file", "read_located", "read_scan"]
