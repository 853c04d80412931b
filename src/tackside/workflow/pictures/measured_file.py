"""A card's colours straight from an instrument's file, without a trial."""

from __future__ import annotations

from pathlib import Path

from tackside.picture.found_reading import FoundReading
from tackside.reading.instrument.file import read_instrument_file


def reading_of_file(path: Path) -> FoundReading:
    """An instrument file's patches. Raises BadInstrumentFile."""
    return FoundReading(read_instrument_file(path), None, path.name, False)
