"""Where prints fall, by what the bench holds: the foremost reading of each trial, gathered by the way it was printed;
and with it a card's way into the printer, sides and all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

from tackside.bench.repositories.measured import PrintedBy
from tackside.bench.repositories.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.placement.correction import corners_of
from tackside.fit.placement.measured import MeasuredPlacement, PrintPath, Way, measure
from tackside.fit.refusal import refused
from tackside.fit.sizes.formats import SAME_MM
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side

SIDES: tuple[Side, Side] = ("front", "back")
MOST_PATHS = 64


@dataclass(frozen=True)
class FoundPlacement:
    """One way of printing a stock, where prints fell by it (None: never measured), and the other ways measured."""

    fit: Fit
    way: Way
    measured: MeasuredPlacement | None
    others: tuple[tuple[Way, MeasuredPlacement], ...]

    @property
    def corner_shifts_mm(self) -> tuple[tuple[float, float], ...]:
        """By how much the top left, top right, bottom left and bottom right corner are printed off their place, to the
        right and down; none where nothing was measured."""
        if self.measured is None:
            return ()
        asked = corners_of(self.fit.size_mm)
        printed = self.measured.correction.inverse(asked)
        return tuple(
            (there[0] - corner[0], there[1] - corner[1]) for corner, there in zip(asked, printed, strict=True)
        )


def placement_of(
    bench: Bench, stock: str, printer: str, *, feed: str | None = None, side: Side = "front"
) -> FoundPlacement:
    """Where prints of a stock fall on a printer, by one feed (by default the best) and side. Raises NotFound,
    DoesNotFit.

    >>> found = placement_of(bench, "Harbour Satin 300", "Tern 8")
    >>> found.way.borderless, found.measured is None  # nothing was printed and read yet
    (True, True)
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


def print_path(bench: Bench, stock: Stock, printer: Printer, *, corrected: bool) -> PrintPath:
    """Where earlier trials of this stock on this printer fell, by side, and how the sheet is turned over."""
    placements = placements_of(bench, stock, printer) if corrected else {}
    return _as_turned(bench, stock, printer, placements)


def placements_of(bench: Bench, stock: Stock, printer: Printer) -> dict[Side, MeasuredPlacement]:
    """Where earlier trials of this card in this printer fell, for those sides that any was read of."""
    found: dict[Side, MeasuredPlacement] = {}
    for side in SIDES:
        fit = fit_stock(stock, printer, side=side)
        if fit.feed is None:
            continue
        measured = measured_for(
            bench,
            stock.name,
            printer.name,
            feed=fit.feed,
            side=side,
            size_mm=fit.size_mm,
            borderless=fit.borderless,
        )
        if measured is not None:
            found[side] = measured
    return found


def _as_turned(
    bench: Bench, stock: Stock, printer: Printer, placements: Mapping[Side, MeasuredPlacement]
) -> PrintPath:
    """The way in, with how the sheet is known to go in for its second side."""
    feed = fit_stock(stock, printer).feed  # one feed takes both sides
    answer = None if feed is None else second_side_of(bench.folder, printer.name, feed)
    return PrintPath(
        placements, half_turned=answer is not None and answer.half_turned, tried=answer is not None
    )


class KnownPaths:
    """The ways of one bench's cards, as they were last found: a card is laid out with each change, and to measure
    thousands of trials takes a tenth of a second. One is measured again only once there is a new reading of it, or
    something was withdrawn.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._found: dict[tuple[Stock, Printer, int, int], dict[Side, MeasuredPlacement]] = {}
        self._lock = Lock()

    def of(self, stock: Stock, printer: Printer) -> PrintPath:
        """As ``print_path`` finds it, corrected."""
        placed = self._bench.measured.last_placement(stock.name, printer.name)
        key = (stock, printer, placed, self._bench.withdrawals.last())
        with self._lock:
            found = self._found.get(key)
        if found is None:
            found = placements_of(self._bench, stock, printer)
            with self._lock:
                if len(self._found) >= MOST_PATHS:
                    del self._found[next(iter(self._found))]
                self._found[key] = found
        return _as_turned(self._bench, stock, printer, found)
