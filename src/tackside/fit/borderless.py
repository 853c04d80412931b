"""What must change to print to the edge: the way round, the feed, the size of the card, or a larger sheet trimmed."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.cautions import BLADES
from tackside.fit.feeds import Appraisal, appraise, margins_of
from tackside.fit.model import BorderlessWay
from tackside.fit.sizes.format_tables import SHEETS
from tackside.fit.sizes.formats import SAME_MM, sheet_of
from tackside.fit.sizes.page_size import in_words
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
        sentence=(
            f"Feed the card turned by 90°: {in_words(turned)} is a borderless size of feed {taken.feed.name}. In "
            "the stock file exchange the two lengths and turn each crease's direction."
        ),
    )


def _other_feed(stock: Stock, printer: Printer, taken: Feed) -> BorderlessWay | None:
    for found in (appraise(stock, feed) for feed in printer.feeds if feed.name != taken.name):
        if found.borderless and not found.refusals:
            return BorderlessWay(
                kind="other-feed",
                feed=found.feed.name,
                size_mm=stock.open_size_mm,
                sentence=f"Use feed {found.feed.name}: it prints {in_words(stock.open_size_mm)} to the edge.",
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
        sentence=(
            f"Choose a card of another open size: {_named(size)} is the nearest that feed {feed.name} prints to "
            "the edge."
        ),
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
        sentence=(
            f"Print larger and trim: on a sheet of the same card of {_named(size)}, with {BLEED_MM:g} mm of bleed all "
            f"round, then cut to {in_words(stock.open_size_mm)} and crease. {BLADES}"
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


def _named(size: Size) -> str:
    found = sheet_of(size)
    return f"{in_words(size)} ({found.format.name})" if found else in_words(size)
