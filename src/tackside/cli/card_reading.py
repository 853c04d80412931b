"""A trial's newest reading, or a bare instrument file: what commands about a card's colours begin with."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tackside.bench.records import Reading, SheetPlan
from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import BadRequest
from tackside.reading.instrument import read_instrument_file


@dataclass(frozen=True)
class FoundReading:
    """``through_path``: the sheet was printed through colour management, so its numbers are a file's RGB."""

    reading: Reading
    plan: SheetPlan | None
    title: str
    through_path: bool


def reading_of_trial(name: str) -> FoundReading:
    """The newest reading of a trial. Raises NotFound."""
    bench = Bench.open(bench_folder(), create=False)
    trial = bench.trials.get(name)
    reading = bench.readings.latest(trial.id)
    if reading.kind == "eye":
        raise BadRequest(
            f"the newest reading of trial {trial.id} are answers by eye, which hold no colours",
            f"scan or measure its sheet: tackside read {trial.id} FILE",
        )
    managed = trial.sheet.purpose == "path" and trial.settings.colour_managed_by != "nobody"
    side = "" if trial.side == "front" else f", {trial.side} side"
    return FoundReading(reading, trial.sheet, f"{trial.stock}{side}", managed)


def reading_of_file(path: Path) -> FoundReading:
    """An instrument file's patches. Raises BadInstrumentFile."""
    return FoundReading(read_instrument_file(path), None, path.name, False)
