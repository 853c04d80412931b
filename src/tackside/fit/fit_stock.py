"""The fit: one stock held against one printer."""

from __future__ import annotations

from tackside.files.suggest import not_found
from tackside.fit import advice
from tackside.fit.feeds import Appraisal, appraise, choose, margins_of
from tackside.fit.fold.folds import folded_size
from tackside.fit.fold.outside import outside_of, with_outside
from tackside.fit.fold.panels import creases_on, panels
from tackside.fit.model import Fit, Panel
from tackside.fit.sizes.formats import custom_size, mistakes, sheet_of
from tackside.messages.message import Message
from tackside.records import Margins, Printer, Stock
from tackside.records.sheet_plan import Side
from tackside.units import Box


def fit_stock(
    stock: Stock,
    printer: Printer,
    feed: str | None = None,
    side: Side = "front",
    outside: Side | None = None,
) -> Fit:
    """What the printer can do with the stock, fed with ``side`` as the printed face.

    ``outside`` is the face that a card of it has outside, by default the coated one: its panels are the front and the
    back, those of the other face the inside.

    ``feed`` names one feed; by default the best one is chosen. Where none takes the card the fit is
    returned all the same, with ``feed`` None and the reasons in ``warnings``: it is for its reader to decide
    what to do without a feed. Raises NotFound for a feed that the printer does not have, BadRecord for creases that
    can't be folded.
    """
    asked = _appraisals(stock, printer, feed)
    taken = choose(stock, printer) if feed is None else next((a for a in asked if not a.refusals), None)
    borderless = taken is not None and taken.borderless
    chosen = taken.feed if taken else None
    margins, assumed = margins_of(chosen, borderless=borderless)
    size = stock.open_size_mm
    outside = outside or outside_of(stock)
    creases, face = with_outside(stock, outside).creases, _face(side, outside)
    parts = tuple(_reached(panel, size, margins) for panel in panels(size, creases, face))
    name = sheet_of(size)
    return Fit(
        stock=stock.name,
        printer=printer.name,
        feed=chosen.name if chosen else None,
        side=side,
        size_mm=size,
        size_name=name.format.name if name else None,
        borderless=borderless,
        enlargement_mm=chosen.borderless_enlargement_mm if chosen and borderless else None,
        margins_mm=margins,
        margins_assumed=assumed,
        panels=parts,
        creases=creases_on(size, creases, face),
        custom_size=custom_size(size),
        warnings=(
            *_on_feeding(stock, printer, asked, taken, assumed=assumed),
            *advice.on_coating(stock, side),
            *mistakes(size, folded_size(size, stock.creases)),
            *advice.on_fold(stock),
            *advice.on_panels(parts),
        ),
    )


def _face(side: Side, outside: Side) -> Side:
    """A side of the stock as a side of the card: "front" is the outside."""
    return "front" if side == outside else "back"


def _appraisals(stock: Stock, printer: Printer, feed: str | None) -> list[Appraisal]:
    """Each feed that comes into question. Raises NotFound for one that is not there."""
    names = [each.name for each in printer.feeds]
    if feed is not None and feed not in names:
        raise not_found("fit.no-feed", feed, names, Message("fit.feeds", feeds=names), printer=printer.name)
    return [appraise(stock, each) for each in printer.feeds if feed in (None, each.name)]


def _on_feeding(
    stock: Stock, printer: Printer, asked: list[Appraisal], taken: Appraisal | None, *, assumed: bool
) -> list[Message]:
    if taken is None:
        return advice.on_refusals(stock, printer, asked)
    return [
        *advice.on_limits(stock, taken.feed),
        *advice.on_margins(
            taken.feed,
            borderless=taken.borderless,
            assumed=assumed,
            borderless_turned=taken.borderless_turned and not taken.borderless,
        ),
    ]


def _reached(panel: Panel, size_mm: tuple[float, float], margins: Margins) -> Panel:
    """The panel with the part of it that lies inside the printer's margins; none is a box of no area."""
    reach = Box(0.0, 0.0, *size_mm).inset(margins.left, margins.top, margins.right, margins.bottom)
    inside = panel.trim.intersection(reach) if reach.w > 0 and reach.h > 0 else None
    return panel.model_copy(update={"printable": inside or Box(panel.trim.x, panel.trim.y, 0.0, 0.0)})
