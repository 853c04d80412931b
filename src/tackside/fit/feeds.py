"""Which feed takes the card, and what it can reach there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.fit.sizes.formats import SAME_MM
from tackside.messages.message import Message
from tackside.records import Feed, Margins, Printer, Stock

# What is safe when a printer's margins are not known: a quarter of an inch (docs/sources.md, S13).
SAFE_MARGIN_MM = 6.35
# Width, then height.
TOO_LONG = (
    Message("fit.too-wide"),
    Message("fit.too-high"),
)
TOO_SHORT = (
    Message("fit.too-narrow"),
    Message("fit.too-low"),
)


@dataclass(frozen=True)
class Appraisal:
    """What one feed makes of one stock: ``refusals`` say why it does not take it, none where it does.

    ``too_stout`` where the card is over the limit of caliper or weight, whatever its size.
    ``unproven`` counts the limits that could not be checked because a figure is missing.
    """

    feed: Feed
    refusals: tuple[Message, ...]
    takes_turned: bool
    borderless: bool
    borderless_turned: bool
    too_stout: bool
    unproven: int


def appraise(stock: Stock, feed: Feed) -> Appraisal:
    """Hold a stock against a feed's limits, the open size in the orientation as fed."""
    turned = (stock.open_size_mm[1], stock.open_size_mm[0])
    size = _size_refusal(stock.open_size_mm, feed)
    stout = tuple(filter(None, (_caliper_refusal(stock, feed), _weight_refusal(stock, feed))))
    limits = (feed.max_caliper_mm, stock.caliper_mm), (feed.max_weight_gsm, stock.weight_gsm)
    return Appraisal(
        feed=feed,
        refusals=stout if size is None else (size, *stout),
        takes_turned=size is not None and _size_refusal(turned, feed) is None,
        borderless=_listed(stock.open_size_mm, feed.borderless_sizes_mm),
        borderless_turned=_listed(turned, feed.borderless_sizes_mm),
        too_stout=bool(stout),
        unproven=sum(limit is None or value is None for limit, value in limits),
    )


def choose(stock: Stock, printer: Printer) -> Appraisal | None:
    """The feed to use: one that takes the card, with most limits proven, then borderless, then as listed."""
    takers = [found for found in (appraise(stock, feed) for feed in printer.feeds) if not found.refusals]
    return min(takers, key=lambda found: (found.unproven, not found.borderless), default=None)


def margins_of(feed: Feed | None, *, borderless: bool) -> tuple[Margins, bool]:
    """What the printer cannot reach, and whether that is the safe default because nothing is known."""
    if borderless:
        return Margins(), False
    if feed is not None and feed.margins_mm is not None:
        return feed.margins_mm, False
    safe = SAFE_MARGIN_MM
    return Margins(top=safe, bottom=safe, left=safe, right=safe), True


def _listed(size_mm: tuple[float, float], sizes: Sequence[tuple[float, float]]) -> bool:
    """Whether a size is on a list, both edges within 0.5 mm, in that orientation."""
    return any(abs(size_mm[0] - w) <= SAME_MM and abs(size_mm[1] - h) <= SAME_MM for w, h in sizes)


def _size_refusal(size_mm: tuple[float, float], feed: Feed) -> Message | None:
    """Makers round their limits to a millimetre, so half of one is allowed either way."""
    for over, under, length, least, most in zip(
        TOO_LONG, TOO_SHORT, size_mm, feed.min_size_mm, feed.max_size_mm, strict=True
    ):
        if length > most + SAME_MM:
            return over.with_values(length_mm=length, limit_mm=most)
        if length < least - SAME_MM:
            return under.with_values(length_mm=length, limit_mm=least)
    return None


def _caliper_refusal(stock: Stock, feed: Feed) -> Message | None:
    if stock.caliper_mm is None or feed.max_caliper_mm is None or stock.caliper_mm <= feed.max_caliper_mm:
        return None
    return Message("fit.too-thick", caliper_mm=stock.caliper_mm, limit_mm=feed.max_caliper_mm)


def _weight_refusal(stock: Stock, feed: Feed) -> Message | None:
    if stock.weight_gsm is None or feed.max_weight_gsm is None or stock.weight_gsm <= feed.max_weight_gsm:
        return None
    return Message("fit.too-heavy", weight=stock.weight_gsm, limit=feed.max_weight_gsm)
