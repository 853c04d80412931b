"""A card's newest measured reading, with what one must know of how its sheet was printed."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.records import Reading, SheetPlan, Trial


@dataclass(frozen=True)
class FoundReading:
    """``through_path``: the sheet was printed through colour management, so its numbers are a file's RGB."""

    reading: Reading
    plan: SheetPlan | None
    title: str
    through_path: bool


def reading_of(bench: Bench, name: str) -> FoundReading:
    """The newest reading of a trial. Raises NotFound, BadRequest for answers by eye."""
    trial = bench.trials.get(name)
    reading = bench.readings.latest(trial.id)
    if reading.kind == "eye":
        raise BadRequest(
            f"the newest reading of trial {trial.id} are answers by eye, which hold no colours",
            f"scan or measure its sheet: tackside read {trial.id} FILE",
        )
    return found_from(trial, reading)


def found_from(trial: Trial, reading: Reading) -> FoundReading:
    """A reading of a trial, with what one must know of it."""
    managed = trial.sheet.purpose == "path" and trial.settings.colour_managed_by != "nobody"
    side = "" if trial.side == "front" else f", {trial.side} side"
    return FoundReading(reading, trial.sheet, f"{trial.stock}{side}", managed)
