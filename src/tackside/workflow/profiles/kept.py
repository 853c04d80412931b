"""The profiles that were built here of a card, for whoever converts by its own reading."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.bench.store import Bench
from tackside.records.assets import ProfileFile, ProfileOrigin


def kept_profile_of(bench: Bench, trial: str) -> ProfileFile | None:
    """The newest profile that was built from this trial, alone or with others, of readings that still stand."""
    return next((each for each, origin in _built(bench) if trial in origin.trials), None)


def kept_profile_on(bench: Bench, stock: str, side: str, printer: str) -> ProfileFile | None:
    """The newest profile that was built of a card in a printer, of readings that still stand."""
    card = (stock, side, printer)
    found = (each for each, origin in _built(bench) if (origin.stock, origin.side, origin.printer) == card)
    return next(found, None)


def _built(bench: Bench) -> Iterator[tuple[ProfileFile, ProfileOrigin]]:
    standing: dict[str, set[str | None]] = {}
    for each in bench.profiles.all():
        if each.origin is None:
            continue
        for trial in each.origin.trials:
            if trial not in standing:
                standing[trial] = {reading.id for reading in bench.readings.list(trial)}
        held = set().union(*(standing[trial] for trial in each.origin.trials))
        if held.issuperset(each.origin.readings):
            yield each, each.origin
