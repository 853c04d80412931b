"""What the bench knows of a card's way into the printer: where trials fell, how the sheet is turned over."""

from __future__ import annotations

from tackside.bench.repositories.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.card.make import PrintPath
from tackside.fit.fit_stock import fit_stock
from tackside.fit.placement.measured import MeasuredPlacement
from tackside.fit.placement.on_bench import measured_for
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side

SIDES: tuple[Side, Side] = ("front", "back")


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
