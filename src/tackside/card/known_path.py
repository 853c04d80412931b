"""What the bench knows of a card's way into the printer: where trials fell, how the sheet is turned over."""

from __future__ import annotations

from tackside.bench.records import Printer, Stock
from tackside.bench.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.card.make import PrintPath
from tackside.fit.fit_stock import fit_stock
from tackside.fit.placement import measured_for


def print_path(bench: Bench, stock: Stock, printer: Printer, *, corrected: bool) -> PrintPath:
    """Where earlier trials of this stock on this printer fell, by side, and how the sheet is turned over."""
    placements = {}
    answer = None
    for fit in (fit_stock(stock, printer, side="front"), fit_stock(stock, printer, side="back")):
        if fit.feed is None:
            continue
        answer = second_side_of(bench.folder, printer.name, fit.feed)
        measured = measured_for(
            bench,
            stock.name,
            printer.name,
            feed=fit.feed,
            side=fit.side,
            size_mm=fit.size_mm,
            borderless=fit.borderless,
        )
        if measured is not None and corrected:
            placements[fit.side] = measured
    return PrintPath(placements, half_turned=answer is not None and answer.half_turned)
