"""The fit in full, for whoever asks what to do with a card: fold, inside, insert, envelope, post, notes."""

from __future__ import annotations

from tackside.fit.borderless import ways_to_borderless
from tackside.fit.fit_stock import FEEDING, appraise, fit_stock, on_creases, on_expected_margins
from tackside.fit.fold.folded_margins import folded_margins
from tackside.fit.fold.inside import insert_for, inside_advice
from tackside.fit.fold.panels import fold_of, folded_size, layers, outside_of
from tackside.fit.mail import post as letters
from tackside.fit.mail.envelopes import envelopes_for
from tackside.fit.model import FullFit
from tackside.fit.sizes.formats import card_of, what_to_choose
from tackside.fit.way_round import on_turned, way_round
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side


def fit_in_full(
    stock: Stock,
    printer: Printer,
    feed: str | None = None,
    side: Side | None = None,
    post: letters.PostLimits | None = None,
) -> FullFit:
    """As ``fit_stock``, with all that there is to say of the card; of its outside, unless a side is named.

    ``post`` are the envelopes to choose from, and the limits to hold the card in its envelope against. Raises
    NotFound, BadRecord.
    """
    outside = outside_of(stock)
    side = side or outside
    fit = fit_stock(stock, printer, feed, side, outside)
    size = stock.open_size_mm
    taken = next((appraise(stock, each) for each in printer.feeds if each.name == fit.feed), None)
    folded = folded_size(size, stock.creases)
    name = card_of(folded)
    thickness = None if stock.caliper_mm is None else round(stock.caliper_mm * layers(size, stock.creases), 3)
    mass = letters.mass_g(stock)
    envelopes = envelopes_for(folded, size, thickness, post.envelopes if post else None)
    mailed = (
        letters.mailed(mass, thickness, envelopes[0] if envelopes else None, post.envelope) if post else None
    )
    inside = inside_advice(stock)
    return FullFit(
        **dict(fit),
        folded_size_mm=folded,
        folded_size_name=name.format.name if name else None,
        thickness_mm=thickness,
        fold=fold_of(size, stock.creases),
        way_round=way_round(size, side, fit.panels, outside),
        folded_margins=folded_margins(fit.panels),
        borderless_ways=ways_to_borderless(stock, printer, taken),
        inside=inside,
        insert=insert_for(stock),
        mass_g=None if mass is None else round(mass, 1),
        mailed=mailed,
        post=tuple(letters.check(mailed, each) for each in post.services) if post and mailed else (),
        envelopes=envelopes,
        notes=tuple(
            filter(
                None,
                (
                    what_to_choose(stock, folded),
                    on_expected_margins(
                        fit.margins_mm, borderless=fit.borderless, assumed=fit.margins_assumed
                    ),
                    on_turned(fit.panels),
                    *on_creases(size, stock.creases),
                    inside.sentence,
                    *_on_envelopes(stock, found=bool(envelopes)),
                    FEEDING,
                ),
            )
        ),
    )


def _on_envelopes(stock: Stock, *, found: bool) -> list[Message]:
    said: list[Message] = []
    if not found:
        said.append(Message("fit.no-envelope", least_mm=3, most_mm=6))
    if stock.caliper_mm is None:
        said.append(Message("fit.envelope-without-thickness"))
    return said
