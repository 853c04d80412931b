"""The ground of a sheet: its panels, creases, printable area and feed, as fit finds them."""

from __future__ import annotations

from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.refusal import refused
from tackside.records import Feed, Printer, SheetPanel, Stock
from tackside.records.sheet_plan import Side


def fitted(stock: Stock, printer: Printer, side: Side, feed: Feed | None) -> Fit:
    """The fit of the stock; DoesNotFit with fit's own reasons where no feed takes the card."""
    fit = fit_stock(stock, printer, feed.name if feed else None, side)
    if fit.feed is None:
        raise refused(fit)
    return fit


def feed_called(printer: Printer, name: str) -> Feed | None:
    """The printer's feed of that name, or None."""
    return next((feed for feed in printer.feeds if feed.name == name), None)


def sheet_panels(fit: Fit) -> tuple[SheetPanel, ...]:
    """The panels as the sheet's plan keeps them."""
    return tuple(
        SheetPanel(name=panel.name, trim=panel.trim, printable=panel.printable) for panel in fit.panels
    )
