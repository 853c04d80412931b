"""A trial's newest reading, or a bare instrument file: what commands about a card's colours begin with."""

from __future__ import annotations

from pathlib import Path

from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.picture.found_reading import FoundReading, reading_of
from tackside.reading.instrument.file import read_instrument_file


def reading_of_trial(name: str) -> FoundReading:
    """The newest reading of a trial. Raises NotFound."""
    return reading_of(Bench.open(bench_folder(), create=False), name)


def reading_of_file(path: Path) -> FoundReading:
    """An instrument file's patches. Raises BadInstrumentFile."""
    return FoundReading(read_instrument_file(path), None, path.name, False)
