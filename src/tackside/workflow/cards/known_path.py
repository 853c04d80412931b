"""What the bench knows of a card's way into the printer: where trials fell, how the sheet is turned over."""

from __future__ import annotations

from threading import Lock

from tackside.bench.repositories.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.card.make import PrintPath
from tackside.fit.fit_stock import fit_stock
from tackside.fit.placement.measured import MeasuredPlacement
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side
from tackside.workflow.placement import measured_for

SIDES: tuple[Side, Side] = ("front", "back")
MOST_PATHS = 64


def print_path(bench: Bench, stock: Stock, printer: Printer, *, corrected: bool) -> PrintPath:
    """Where earlier trials of this stock on this printer fell, by side, and how the sheet is turned over."""
    placements = placements_of(bench, stock, printer) if corrected else {}
    return PrintPath(placements, half_turned=is_half_turned(bench, stock, printer))


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


def is_half_turned(bench: Bench, stock: Stock, printer: Printer) -> bool:
    """Whether the sheet is known to go in for its second side head first where the first went in foot first."""
    feeds = [fit_stock(stock, printer, side=side).feed for side in SIDES]
    answers = [second_side_of(bench.folder, printer.name, feed) for feed in feeds if feed is not None]
    return bool(answers) and answers[-1] is not None and answers[-1].half_turned


class KnownPaths:
    """The ways of one bench's cards, as they were last found: a card is laid out with each change, and to measure
    thousands of trials takes a tenth of a second. One is measured again only once there is a new reading of it.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._found: dict[tuple[Stock, Printer, int], dict[Side, MeasuredPlacement]] = {}
        self._lock = Lock()

    def of(self, stock: Stock, printer: Printer) -> PrintPath:
        """As ``print_path`` finds it, corrected."""
        key = (stock, printer, self._bench.measured.last_placement(stock.name, printer.name))
        with self._lock:
            found = self._found.get(key)
        if found is None:
            found = placements_of(self._bench, stock, printer)
            with self._lock:
                if len(self._found) >= MOST_PATHS:
                    del self._found[next(iter(self._found))]
                self._found[key] = found
        return PrintPath(found, half_turned=is_half_turned(self._bench, stock, printer))
