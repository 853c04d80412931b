"""What comes back from a trial: instrument files and scans."""

from tackside.reading.files import read_files
from tackside.reading.instrument import read_instrument_file
from tackside.reading.recognise import kind_of
from tackside.reading.scan import Located, locate, overlay, read_scan

__all__ = ["Located", "kind_of", "locate", "overlay", "read_files", "read_instrument_file", "read_scan"]
