"""The newest reading of each card on a bench, and the one of a trial that stands."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.picture.found_reading import FoundReading, found_from
from tackside.records import Reading, Trial
from tackside.workflow.practice.guard import require_real


def newest_readings(
    bench: Bench, printer: str | None = None, *, stock: str | None = None
) -> tuple[tuple[Trial, Reading], ...]:
    """The newest reading of each stock, side and printer, with its trial, or of one printer's or stock's alone; answers
    by eye have no colours and are left out. A sheet that went through a profile says more of the profile than of the
    card: it counts where the card has no other."""
    found: dict[tuple[str, str, str], tuple[Trial, str]] = {}
    through: list[str] = []
    while True:
        newest = [
            (bench.trials.get(trial), reading)
            for trial, reading in bench.measured.newest(stock=stock, printer=printer, without=through)
        ]
        found |= {(trial.stock, trial.side, trial.printer): (trial, reading) for trial, reading in newest}
        more = [trial.id for trial, _ in newest if trial.through is not None]
        if not more:
            return tuple((trial, bench.readings.get(reading)) for trial, reading in found.values())
        through += more


def reading_of(bench: Bench, name: str) -> FoundReading:
    """The reading of a trial that stands. Raises NotFound, BadRequest where there are only answers by eye, or
    it is practice."""
    trial = require_real(bench.trials.get(name))
    reading = bench.readings.standing(trial.id)
    if reading.kind == "eye":
        raise BadRequest("bench.reading-by-eye", trial=trial.id)
    return found_from(trial, reading)
