"""A card's measured reading, with what one must know of how its sheet was printed."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Reading, SheetPlan, Trial


@dataclass(frozen=True)
class FoundReading:
    """``through_path``: the sheet was printed through colour management, so its numbers are a file's RGB."""

    reading: Reading
    plan: SheetPlan | None
    title: str
    through_path: bool


def found_from(trial: Trial, reading: Reading) -> FoundReading:
    """A reading of a trial, with what one must know of it."""
    managed = trial.sheet.purpose == "path" and trial.settings.colour_managed_by != "nobody"
    side = "" if trial.side == "front" else f", {trial.side} side"
    return FoundReading(reading, trial.sheet, f"{trial.stock}{side}", managed)


def card_name(trial: Trial) -> str:
    """What a card is called among those that were read."""
    return trial.stock if trial.side == "front" else f"{trial.stock} ({trial.side} side)"
