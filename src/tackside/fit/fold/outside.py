"""Which face of a stock a card has outside: either may be, and by default it is the one that takes ink."""

from __future__ import annotations

from tackside.fit.fold.panels import creases_on
from tackside.records import Stock
from tackside.records.sheet_plan import Side
from tackside.records.stock import CoatedSides

OTHER: dict[Side, Side] = {"front": "back", "back": "front"}
_TURNED: dict[CoatedSides, CoatedSides] = {"front": "back", "back": "front"}


def outside_of(stock: Stock) -> Side:
    """The coated face, where one alone is; else the front."""
    return "back" if stock.coated == "back" else "front"


def with_outside(stock: Stock, outside: Side) -> Stock:
    """The stock as a card sees it whose outside lies on that face: its "front" is the card's outside.

    Turned over about its vertical axis, as all sheets are here: vertical creases and the coating change sides. Which
    way a crease folds is said from the card's inside, and stays.
    """
    if outside == "front":
        return stock
    return stock.model_copy(
        update={
            "creases": creases_on(stock.open_size_mm, stock.creases, "back"),
            "coated": _TURNED.get(stock.coated, stock.coated),
        }
    )
