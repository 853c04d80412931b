"""A panel of a card as the place that a picture fills."""

from __future__ import annotations

from tackside.files.suggest import not_found
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Panel, called
from tackside.messages.message import Message
from tackside.picture.check.resolution import Use
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side

SIDES: tuple[Side, ...] = ("front", "back")
NEAREST_CM, FARTHEST_CM = 5.0, 10_000.0


def use_on_panel(stock: Stock, printer: Printer, panel: str, distance_cm: float) -> Use:
    """The panel of a stock in a printer, in mm as it will be seen. Raises NotFound."""
    named: dict[str, Panel] = {}
    for side in SIDES:
        named |= {
            each.name: each for each in fit_stock(stock, printer, side=side).panels if each.name not in named
        }
    chosen = named.get(panel)
    if chosen is None:
        raise not_found(
            "choose.no-panel",
            panel,
            named,
            Message("choose.panels", panels=tuple(named)),
            stock=stock.name,
        )
    width, height = chosen.trim.w, chosen.trim.h
    size = (height, width) if chosen.turn_deg in (90, 270) else (width, height)
    return Use(size, Message("picture.place.panel", panel=called(panel)), printer.grid_ppi, distance_cm)
