"""The usual slips in a stock or a printer: another unit, the folded size in place of the open one, a digit too many.

Nothing here is impossible, so nothing is refused: each doubt is said, with its place, to whoever can look at the pack.
The ranges are common practice of the trade, from memory (docs/sources.md, S121).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tackside.fit.sizes.formats import LARGEST_FOLDED_MM, card_of, sheet_of
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Printer, Stock
from tackside.typed.length import Size
from tackside.units import MM_PER_INCH

MM_PER_CM = 10.0
# No sheet of card is as small as this, and A3+ in centimetres is 48.3 at its longer edge.
SMALLEST_LONG_EDGE_MM = 60.0
# One edge under this beside one over 60 mm: narrower than any bookmark.
SMALLEST_EDGE_MM = 45.0
# Cards that are sold to be printed and folded.
LIGHTEST_GSM, HEAVIEST_GSM = 60.0, 700.0
THINNEST_MM, THICKEST_MM = 0.08, 1.5
# Caliper over weight, cm³/g: smooth coated board is near 0.8, soft cotton card near 1.9.
LEAST_BULK, MOST_BULK = 0.6, 3.0
# A crease so near to an edge is one in another unit, or a slip.
NEAR_EDGE = 0.15
# The one doubt that an answer of its own settles: the card is flat.
FOLDED_SIZE = "typed.folded-size"
WIDEST_MARGIN_MM = 30.0


@dataclass(frozen=True)
class Doubt:
    """What may be a slip, and where."""

    message: Message
    place: Place


def doubts_of_stock(stock: Stock) -> tuple[Doubt, ...]:
    """The usual slips that a stock's figures look like, in the order of its fields."""
    return (*_of_size(stock), *_of_creases(stock), *_of_board(stock))


def doubts_of_printer(printer: Printer) -> tuple[Doubt, ...]:
    found: list[Doubt] = []
    for number, feed in enumerate(printer.feeds):
        at = ("feeds", number)
        sizes = (
            (feed.max_size_mm, ("max_size_mm",)),
            *((size, ("borderless_sizes_mm", i)) for i, size in enumerate(feed.borderless_sizes_mm)),
        )
        for size, path in sizes:
            found += [Doubt(said, Place("printer", (*at, *path))) for said in _small(size)]
        margins = feed.margins_mm
        if margins is not None:
            wide = {name: value for name, value in margins.model_dump().items() if value > WIDEST_MARGIN_MM}
            found += [
                Doubt(
                    Message("typed.wide-margin", margin_mm=value), Place("printer", (*at, "margins_mm", name))
                )
                for name, value in wide.items()
            ]
        if feed.max_caliper_mm is not None and not 0.15 <= feed.max_caliper_mm <= 3.0:
            place = Place("printer", (*at, "max_caliper_mm"))
            found.append(Doubt(Message("typed.odd-caliper", caliper_mm=feed.max_caliper_mm), place))
    return tuple(found)


def _of_size(stock: Stock) -> Iterator[Doubt]:
    size, place = stock.open_size_mm, Place("stock", ("open_size_mm",))
    small = tuple(_small(size))
    yield from (Doubt(said, place) for said in small)
    if small:
        return
    if min(size) < SMALLEST_EDGE_MM:
        yield Doubt(Message("typed.one-edge-small", size_mm=size, edge_mm=min(size)), place)
    elif not stock.creases and min(size) < LARGEST_FOLDED_MM and card_of(size):
        yield Doubt(Message("typed.folded-size", size_mm=size, open_mm=opened(size)), place)


def _small(size: Size) -> Iterator[Message]:
    """A size that is one of centimetres or inches: the unit that makes it a named size, else both."""
    if max(size) >= SMALLEST_LONG_EDGE_MM:
        return
    in_cm: Size = (size[0] * MM_PER_CM, size[1] * MM_PER_CM)
    in_inches: Size = (size[0] * MM_PER_INCH, size[1] * MM_PER_INCH)
    cm, inches = (bool(sheet_of(each) or card_of(each)) for each in (in_cm, in_inches))
    if cm and not inches:
        yield Message("typed.size-in-cm", size_mm=size, meant_mm=in_cm)
    elif inches and not cm:
        yield Message("typed.size-in-inches", size_mm=size, meant_mm=in_inches)
    else:
        yield Message("typed.size-in-another-unit", size_mm=size, cm_mm=in_cm, inches_mm=in_inches)


def _of_creases(stock: Stock) -> Iterator[Doubt]:
    for number, crease in enumerate(stock.creases):
        edge = stock.open_size_mm[1 if crease.direction == "horizontal" else 0]
        if min(crease.at_mm, edge - crease.at_mm) < NEAR_EDGE * edge and len(stock.creases) == 1:
            place = Place("stock", ("creases", number, "at_mm"))
            yield Doubt(Message("typed.crease-near-edge", at_mm=crease.at_mm, middle_mm=edge / 2), place)


def _of_board(stock: Stock) -> Iterator[Doubt]:
    weight, caliper = stock.weight_gsm, stock.caliper_mm
    odd = False
    if weight is not None and not LIGHTEST_GSM <= weight <= HEAVIEST_GSM:
        odd = True
        yield Doubt(Message("typed.odd-weight", weight=weight), Place("stock", ("weight_gsm",)))
    if caliper is not None and not THINNEST_MM <= caliper <= THICKEST_MM:
        odd = True
        yield Doubt(Message("typed.odd-caliper", caliper_mm=caliper), Place("stock", ("caliper_mm",)))
    if weight is None or caliper is None or odd:
        return
    if not LEAST_BULK <= 1000 * caliper / weight <= MOST_BULK:
        said = Message("typed.caliper-beside-weight", caliper_mm=caliper, weight=weight)
        yield Doubt(said, Place("stock", ("caliper_mm",)))


def opened(folded: Size) -> Size:
    """The open sheet of a card that folds in half to this size: its short edge twice, fed by its narrower edge.

    Sheets are cut in whole mm, so two of A5 are a mm short of A4: a named sheet within 1.5 mm is taken for meant.
    """
    short, long = sorted(folded)
    width, height = sorted((2 * short, long))
    found = sheet_of((width, height)) or sheet_of((width, height + 1.0)) or sheet_of((width + 1.0, height))
    if found is not None and not found.turned:
        return (found.format.short_mm, found.format.long_mm)
    return (width, height)
