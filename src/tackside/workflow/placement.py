"""Where prints fall, by what the bench holds: the newest reading of each trial, gathered by the way it was printed."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.repositories.measured import PrintedBy
from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.placement.measured import MeasuredPlacement, Way, measure
from tackside.fit.refusal import refused
from tackside.fit.sizes.formats import SAME_MM
from tackside.records.sheet_plan import Side


@dataclass(frozen=True)
class FoundPlacement:
    """One way of printing a stock, where prints fell by it (None: never measured), and the other ways measured."""

    fit: Fit
    way: Way
    measured: MeasuredPlacement | None
    others: tuple[tuple[Way, MeasuredPlacement], ...]


def placement_of(
    bench: Bench, stock: str, printer: str, *, feed: str | None = None, side: Side = "front"
) -> FoundPlacement:
    """Where prints of a stock fall on a printer, by one feed (by default the best) and side. Raises NotFound,
    DoesNotFit.
    """
    fit = fit_stock(bench.stocks.get(stock), bench.printers.get(printer), feed, side)
    if fit.feed is None:
        raise refused(fit)
    way = Way(
        printer=fit.printer, feed=fit.feed, stock=fit.stock, side=side, size_mm=fit.size_mm,
        borderless=fit.borderless,
    )  # fmt: skip
    others = [each for each in ways_measured(bench, way.stock, way.printer) if not each[0].is_like(way)]
    return FoundPlacement(fit, way, _measured_by(bench, way), tuple(others))


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
    found = [(way, _measured_by(bench, way)) for way in ways]
    return [(way, measured) for way, measured in found if measured is not None]


def _measured_by(bench: Bench, way: Way) -> MeasuredPlacement | None:
    return measured_for(
        bench,
        way.stock,
        way.printer,
        feed=way.feed,
        side=way.side,
        size_mm=way.size_mm,
        borderless=way.borderless,
    )
