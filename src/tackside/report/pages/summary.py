"""The answer for someone in a hurry: which card for photographs on this printer, and what it costs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tackside.records import GRADES, Verdict
from tackside.records.money import price_a_sheet, sheet_price
from tackside.report.ranking import ComparableTrials, Ranked, clears_the_card
from tackside.report.words import listed

# A card for photographs is at least good enough to send.
PHOTOGRAPHS = frozenset({"sell", "send"})
# Two figures nearer than this many of their joint standard uncertainties may as well be the same.
SAME_WITHIN = 2.0
TELLING = ("gamut_volume", "black_l")


def for_photographs(group: ComparableTrials) -> tuple[str, ...]:
    """One sentence for each printer of the group. A sheet makes one card."""
    printers = dict.fromkeys(one.entry.printer.name for one in group.ranked)
    return tuple(
        _for_printer(printer, [one for one in group.ranked if one.entry.printer.name == printer])
        for printer in printers
    )


def as_good(one: Ranked, other: Ranked) -> bool:
    """Whether nothing that was measured tells two cards of one grade apart for photographs: colours and black."""
    if one.entry.verdict.grade != other.entry.verdict.grade:
        return False
    return all(_same(one.entry.verdict, other.entry.verdict, name) for name in TELLING)


def _same(one: Verdict, other: Verdict, name: str) -> bool:
    first, second = one.measures.get(name), other.measures.get(name)
    if first is None or second is None or first.sd is None or second.sd is None:
        return False
    if isinstance(first.value, tuple) or isinstance(second.value, tuple):
        return False
    return abs(first.value - second.value) <= SAME_WITHIN * math.hypot(first.sd, second.sd)


def _for_printer(printer: str, ranked: Sequence[Ranked]) -> str:
    fit = [
        one
        for one in ranked
        if one.entry.verdict.grade in PHOTOGRAPHS and not clears_the_card(one.entry.verdict)
    ]
    if not fit:
        which = "none of these cards" if len(ranked) > 1 else "not this card, as it was printed"
        return f"For photographs on the {printer}: {which}."
    best = min(
        fit, key=lambda one: GRADES.index(one.entry.verdict.grade)
    )  # the first is the one with most colour
    equals = [one for one in fit if one is best or as_good(one, best)]
    chosen = _cheapest(equals) or best
    said = [f"For photographs on the {printer}: {_priced(chosen)}"]
    others = [one for one in equals if one is not chosen]
    if others:
        verb = "do" if len(others) > 1 else "does"
        said.append(f"{listed([_priced(one) for one in others])} {verb} as well, as far as was measured")
    thrifty = _cheapest(fit)
    if thrifty is not None and thrifty not in equals:
        said.append(f"the cheapest that is good enough: {_priced(thrifty)}")
    return f"{'; '.join(said)}."


def _priced(one: Ranked) -> str:
    price = price_a_sheet(one.entry.stock.pack)
    return one.label if price is None else f"{one.label} at {price} a card"


def _cheapest(ranked: Sequence[Ranked]) -> Ranked | None:
    """The cheapest, where all have a price in one currency."""
    packs = [one.entry.stock.pack for one in ranked]
    each = [price for price in map(sheet_price, packs) if price is not None]
    if len(each) < len(ranked) or len({pack.currency for pack in packs if pack is not None}) != 1:
        return None
    return ranked[each.index(min(each))]
