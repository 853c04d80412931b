"""The placements that a bench holds: the newest reading of each trial, gathered by the way it was printed."""

from __future__ import annotations

from tackside.bench.repositories.measured import PrintedBy
from tackside.bench.store import Bench
from tackside.fit.placement.measured import MeasuredPlacement, Way, measure
from tackside.fit.sizes.formats import SAME_MM
from tackside.records.sheet_plan import Side


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
    way = PrintedBy(feed, side, size_mm, borderless)
    found = bench.measured.placements(stock, printer, way, within_mm=SAME_MM)
    return measure(found, size_mm, borderless=borderless)


def ways_measured(bench: Bench, stock: str, printer: str) -> list[tuple[Way, MeasuredPlacement]]:
    """All ways in which this stock was printed on this printer and its placement read, oldest first."""
    ways: list[Way] = []
    for feed, side, size_mm, borderless in bench.measured.ways(stock, printer):
        way = Way(printer=printer, feed=feed, stock=stock, side=side, size_mm=size_mm, borderless=borderless)
        if not any(way.is_like(other) for other in ways):
            ways.append(way)
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
