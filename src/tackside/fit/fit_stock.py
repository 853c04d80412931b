"""The fit: one stock held against one printer."""

from __future__ import annotations

from tackside.files.suggest import not_found
from tackside.fit import advice
from tackside.fit.borderless import ways_to_borderless
from tackside.fit.feeds import Appraisal, appraise, choose, margins_of
from tackside.fit.fold.fold_advice import on_fold
from tackside.fit.fold.folded_margins import folded_margins
from tackside.fit.fold.folds import fold_of, folded_size, layers
from tackside.fit.fold.inside import insert_for, inside_advice
from tackside.fit.fold.panels import creases_on, panels
from tackside.fit.mail import post as letters
from tackside.fit.mail.envelopes import envelopes_for
from tackside.fit.model import Fit, Panel
from tackside.fit.sizes import page_size
from tackside.fit.sizes.formats import card_of, sheet_of
from tackside.fit.way_round import on_turned, way_round
from tackside.messages.message import Message
from tackside.records import Margins, Printer, Stock
from tackside.records.sheet_plan import Side
from tackside.units import Box


def fit_stock(
    stock: Stock,
    printer: Printer,
    feed: str | None = None,
    side: Side = "front",
    post: letters.PostLimits | None = None,
) -> Fit:
    """What the printer can do with the stock, fed with ``side`` as the printed face.

    ``feed`` names one feed; by default the best one is chosen. Where none takes the card the fit is
    returned all the same, with ``feed`` None and the reasons in ``warned``: it is for its reader to decide
    what to do without a feed. ``post`` are the limits to hold the card in its envelope against. Raises
    NotFound for a feed that the printer does not have, BadRecord for creases that can't be folded.
    """
    asked = _appraisals(stock, printer, feed)
    taken = choose(stock, printer) if feed is None else next((a for a in asked if not a.refusals), None)
    borderless = taken is not None and taken.borderless
    chosen = taken.feed if taken else None
    margins, assumed = margins_of(chosen, borderless=borderless)
    size = stock.open_size_mm
    parts = tuple(_reached(panel, size, margins) for panel in panels(size, stock.creases, side))
    folded = folded_size(size, stock.creases)
    thickness = None if stock.caliper_mm is None else round(stock.caliper_mm * layers(size, stock.creases), 3)
    mass = letters.mass_g(stock)
    envelopes = envelopes_for(folded, size, thickness)
    mailed = (
        letters.mailed(mass, thickness, envelopes[0] if envelopes else None, post.envelope) if post else None
    )
    sheet_name, card_name = sheet_of(size), card_of(folded)
    inside = inside_advice(stock)
    return Fit(
        stock=stock.name,
        printer=printer.name,
        feed=chosen.name if chosen else None,
        side=side,
        size_mm=size,
        size_name=sheet_name.format.name if sheet_name else None,
        borderless=borderless,
        enlargement_mm=chosen.borderless_enlargement_mm if chosen and borderless else None,
        margins_mm=margins,
        margins_assumed=assumed,
        panels=parts,
        creases=creases_on(size, stock.creases, side),
        folded_size_mm=folded,
        folded_size_name=card_name.format.name if card_name else None,
        thickness_mm=thickness,
        custom_size=page_size.custom_size(size),
        fold=fold_of(size, stock.creases),
        way_round=way_round(size, side, parts),
        folded_margins=folded_margins(parts),
        borderless_ways=ways_to_borderless(stock, printer, taken),
        inside=inside,
        insert=insert_for(stock),
        mass_g=None if mass is None else round(mass, 1),
        mailed=mailed,
        post=tuple(letters.check(mailed, each) for each in post.services) if post and mailed else (),
        envelopes=envelopes,
        warnings=(
            *_on_feeding(stock, printer, asked, taken, assumed=assumed),
            *advice.on_coating(stock, side),
            *page_size.mistakes(size, folded),
            *on_fold(stock),
            *advice.on_panels(parts),
        ),
        notes=tuple(
            filter(
                None,
                (
                    page_size.what_to_choose(stock, folded),
                    advice.on_expected_margins(margins, borderless=borderless, assumed=assumed),
                    on_turned(parts),
                    *advice.on_creases(size, stock.creases),
                    inside.sentence,
                    *_on_envelopes(stock, found=bool(envelopes)),
                    advice.FEEDING,
                ),
            )
        ),
    )


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


def _on_envelopes(stock: Stock, *, found: bool) -> list[Message]:
    said: list[Message] = []
    if not found:
        said.append(Message("fit.no-envelope", least_mm=3, most_mm=6))
    if stock.caliper_mm is None:
        said.append(Message("fit.envelope-without-thickness"))
    return said


def _reached(panel: Panel, size_mm: tuple[float, float], margins: Margins) -> Panel:
    """The panel with the part of it that lies inside the printer's margins; none is a box of no area."""
    reach = Box(0.0, 0.0, *size_mm).inset(margins.left, margins.top, margins.right, margins.bottom)
    inside = panel.trim.intersection(reach) if reach.w > 0 and reach.h > 0 else None
    return panel.model_copy(update={"printable": inside or Box(panel.trim.x, panel.trim.y, 0.0, 0.0)})
