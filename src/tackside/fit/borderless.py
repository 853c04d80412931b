"""What must change to print to the edge: the way round, the feed, the size of the card, or a larger sheet trimmed."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.cautions import BLADES
from tackside.fit.fit_stock import Appraisal, appraise, margins_of
from tackside.fit.model import BorderlessWay
from tackside.fit.sizes.format_tables import SHEETS
from tackside.fit.sizes.formats import SAME_MM, sheet_of
from tackside.messages.message import Message
from tackside.records import Feed, Printer, Stock

# What is printed past the trim, so that a cut that wanders shows no white (docs/sources.md, S18).
BLEED_MM = 3.0

Size = tuple[float, float]


def ways_to_borderless(stock: Stock, printer: Printer, taken: Appraisal | None) -> tuple[BorderlessWay, ...]:
    """The ways, the least change first; none where the card prints to the edge already or no feed takes it.

    Another card is not called for where this one only has to be turned.
    """
    if taken is None or taken.borderless:
        return ()
    turned = _turned(stock, taken)
    return tuple(
        way
        for way in (
            turned,
            _other_feed(stock, printer, taken.feed),
            None if turned else _other_size(stock, printer),
            _trimmed(stock, taken.feed),
        )
        if way is not None
    )


def _turned(stock: Stock, taken: Appraisal) -> BorderlessWay | None:
    turned = stock.open_size_mm[::-1]
    if not taken.borderless_turned or not _takes(taken.feed, turned):
        return None
    return BorderlessWay(
        kind="turn",
        feed=taken.feed.name,
        size_mm=turned,
        sentence=Message("fit.way-turn", size_mm=turned, feed=taken.feed.name),
    )


def _other_feed(stock: Stock, printer: Printer, taken: Feed) -> BorderlessWay | None:
    for found in (appraise(stock, feed) for feed in printer.feeds if feed.name != taken.name):
        if found.borderless and not found.refusals:
            return BorderlessWay(
                kind="other-feed",
                feed=found.feed.name,
                size_mm=stock.open_size_mm,
                sentence=Message("fit.way-other-feed", feed=found.feed.name, size_mm=stock.open_size_mm),
            )
    return None


def _other_size(stock: Stock, printer: Printer) -> BorderlessWay | None:
    """The listed size nearest to the card's, by the edge that differs most."""
    listed = [
        (max(abs(w - stock.open_size_mm[0]), abs(h - stock.open_size_mm[1])), (w, h), found.feed)
        for found in (appraise(stock, feed) for feed in printer.feeds)
        for w, h in found.feed.borderless_sizes_mm
        if not found.too_stout
    ]
    if not listed:
        return None
    _, size, feed = min(listed, key=lambda each: each[0])
    return BorderlessWay(
        kind="other-size",
        feed=feed.name,
        size_mm=size,
        sentence=Message("fit.way-other-size", size=_named(size), feed=feed.name),
    )


def _trimmed(stock: Stock, feed: Feed) -> BorderlessWay | None:
    """The smallest sheet, with a name if there is one, that holds the card with bleed inside the reach of the print."""
    width, height = (length + 2 * BLEED_MM for length in stock.open_size_mm)
    margins, _ = margins_of(feed, borderless=False)
    least = width + margins.left + margins.right, height + margins.top + margins.bottom
    sizes = [
        size for size in _sheets(feed) if size[0] >= least[0] - SAME_MM and size[1] >= least[1] - SAME_MM
    ]
    size = min(sizes, key=lambda each: each[0] * each[1], default=least)
    if not _takes(feed, size):
        return None
    return BorderlessWay(
        kind="trim",
        feed=feed.name,
        size_mm=(round(size[0], 1), round(size[1], 1)),
        sentence=Message(
            "fit.way-trim", size=_named(size), bleed_mm=BLEED_MM, card_mm=stock.open_size_mm, caution=BLADES
        ),
    )


def _sheets(feed: Feed) -> Iterator[Size]:
    """Sheets with a name, either way round, that the feed takes."""
    for each in SHEETS:
        for size in ((each.short_mm, each.long_mm), (each.long_mm, each.short_mm)):
            if _takes(feed, size):
                yield size


def _takes(feed: Feed, size: Size) -> bool:
    return all(
        least - SAME_MM <= length <= most + SAME_MM
        for length, least, most in zip(size, feed.min_size_mm, feed.max_size_mm, strict=True)
    )


def _named(size: Size) -> Message:
    found = sheet_of(size)
    if found is None:
        return Message("fit.size", size_mm=size)
    return Message("fit.size-named", size_mm=size, name=found.format.name)
