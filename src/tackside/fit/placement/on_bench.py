"""The placements that a bench holds: the newest reading of each trial, gathered by the way it was printed."""

from __future__ import annotations

from collections.abc import Iterable

from tackside.bench.records import Placement, Reading, Trial
from tackside.bench.records.sheet_plan import Side
from tackside.bench.store import Bench
from tackside.fit.placement.measured import MeasuredPlacement, Way, measure


def measured_for(
    bench: Bench,
    stock: str,
    printer: str,
    *,
    feed: str,
    side: Side,
    size_mm: tuple[float, float],
    borderless: bool,
) -> MeasuredPlacement | None:
    """The placement of one way of printing, from what the bench holds; None where nothing was measured on it."""
    way = Way(printer=printer, feed=feed, stock=stock, side=side, size_mm=size_mm, borderless=borderless)
    trials = [
        trial for trial in bench.trials.list(stock=stock, printer=printer) if way_of(trial).is_like(way)
    ]
    readings = [reading for trial in trials for reading in bench.readings.list(trial.id)]
    return measure(newest_placements(trials, readings), size_mm, borderless=borderless)


def ways_measured(bench: Bench, stock: str, printer: str) -> list[tuple[Way, MeasuredPlacement]]:
    """All ways in which this stock was printed on this printer and its placement read, oldest first."""
    ways: list[Way] = []
    for trial in bench.trials.list():
        if (trial.stock, trial.printer) == (stock, printer) and not any(
            way_of(trial).is_like(way) for way in ways
        ):
            ways.append(way_of(trial))
    found = [
        (
            way,
            measured_for(
                bench,
                stock,
                printer,
                feed=way.feed,
                side=way.side,
                size_mm=way.size_mm,
                borderless=way.borderless,
            ),
        )
        for way in ways
    ]
    return [(way, measured) for way, measured in found if measured is not None]


def way_of(trial: Trial) -> Way:
    return Way(
        printer=trial.printer,
        feed=trial.feed,
        stock=trial.stock,
        side=trial.side,
        size_mm=trial.sheet.size_mm,
        borderless=trial.sheet.borderless,
    )


def newest_placements(trials: Iterable[Trial], readings: Iterable[Reading]) -> list[tuple[str, Placement]]:
    """For each trial the placement of its newest reading that has one: (trial id, placement), in the trials' order.

    Several scans of one print are no repeats of printing, so each trial counts once.
    """
    newest: dict[str, Reading] = {}
    for reading in readings:
        trial = reading.trial
        if trial is None or reading.placement is None:
            continue
        if trial not in newest or reading.made_at >= newest[trial].made_at:
            newest[trial] = reading
    found = [(trial.id, newest[trial.id].placement) for trial in trials if trial.id in newest]
    return [(trial, placement) for trial, placement in found if placement is not None]
