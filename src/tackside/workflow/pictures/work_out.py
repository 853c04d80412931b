"""Cards worked out for a choice ahead of it; one that was not is worked out when it is first asked for."""

from __future__ import annotations

from collections.abc import Iterable

from tackside.bench.store import Bench
from tackside.picture.work_out import work_out
from tackside.workflow.pictures.read_cards import newest_readings

CACHE = "cache"  # in the bench's folder


def work_out_trials(bench: Bench, trials: Iterable[str]) -> int:
    """Keep what a choice asks of each of these trials that is its card's newest; how many were worked out."""
    wanted = set(trials)
    cards = {(trial.stock, trial.printer) for trial in map(bench.trials.get, wanted)}
    newest = [
        reading
        for stock, printer in sorted(cards)
        for trial, reading in newest_readings(bench, printer, stock=stock)
        if trial.id in wanted
    ]
    return sum(work_out(reading, bench.folder / CACHE) for reading in newest)
