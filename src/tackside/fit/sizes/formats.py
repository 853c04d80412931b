"""Which named size a size is: the sheet's, the card's; the page size to choose or to type in the printer driver, and
the named ones that it is mistaken for.

The families are kept apart: the US A2, A6 and A7 cards and envelopes are not the ISO sizes of that name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from tackside.fit.sizes.format_tables import CARDS, ISO_SHEETS, SHEETS, US_SHEETS, Format
from tackside.messages.message import Message
from tackside.records import Stock
from tackside.units import MM_PER_INCH

# Two sizes are the same where both edges agree within this; a printer's list of sizes is read so too.
SAME_MM = 0.5
# One edge near a standard size, the other far off: what tempts people to choose the standard size.
NEAR_MM = 3.0
# A named sheet without a crease whose short edge is under this may be a folded card in truth: A5 and less.
LARGEST_FOLDED_MM = 150.0


class Named(NamedTuple):
    """A format found for a size; ``turned`` where its long edge runs across the feed."""

    format: Format
    turned: bool


def named(
    size_mm: tuple[float, float], formats: Iterable[Format], tolerance_mm: float = SAME_MM
) -> Named | None:
    """The format that a size is, nearest first, either way round; None where it is none."""
    width, height = size_mm
    short, long = sorted(size_mm)
    found = [
        (max(abs(short - each.short_mm), abs(long - each.long_mm)), each)
        for each in formats
        if abs(short - each.short_mm) <= tolerance_mm and abs(long - each.long_mm) <= tolerance_mm
    ]
    if not found:
        return None
    return Named(min(found, key=lambda pair: pair[0])[1], turned=width > height)


def sheet_of(size_mm: tuple[float, float]) -> Named | None:
    """The name of an open sheet, ISO 216 before the US ones."""
    return named(size_mm, SHEETS)


def card_of(size_mm: tuple[float, float]) -> Named | None:
    """The name of a finished card: a trade size of cards, else the ISO 216 or US sheet of that size."""
    return named(size_mm, CARDS) or named(size_mm, SHEETS)


def sharing_a_side(size_mm: tuple[float, float]) -> Format | None:
    """A standard sheet that has one edge of this one, where the size as a whole has no name.

    ISO 216 before the US ones; of several the one of the same width as fed, then the nearest.
    """
    if sheet_of(size_mm):
        return None
    width, height = size_mm
    for family in (ISO_SHEETS, US_SHEETS):
        sharing = [
            (abs(each.short_mm - width) > SAME_MM, abs(max(size_mm) - each.long_mm), each)
            for each in family
            if any(
                abs(edge - mine) <= SAME_MM
                for edge in (each.short_mm, each.long_mm)
                for mine in (width, height)
            )
        ]
        if sharing:
            return min(sharing, key=lambda found: found[:2])[2]
    return None


def near_miss(size_mm: tuple[float, float]) -> Format | None:
    """A standard sheet that a nameless size is within 3 mm of, on both edges."""
    if sheet_of(size_mm):
        return None
    found = named(size_mm, SHEETS, NEAR_MM)
    return found.format if found else None


def iso_namesake(us: Format) -> Format | None:
    """The ISO sheet that a US format's name brings to mind, as A2, A6 and A7 do."""
    plain = us.name.removeprefix("US ")
    return next((each for each in ISO_SHEETS if each.name == plain), None)


def in_words(size_mm: tuple[float, float]) -> str:
    """A size in mm: ``210 × 148.5 mm``."""
    return f"{size_mm[0]:.4g} × {size_mm[1]:.4g} mm"


def in_both_units(size_mm: tuple[float, float]) -> str:
    """A size as a driver may want it, width first: ``200 × 200 mm (7.874 × 7.874 in)``."""
    return f"{in_words(size_mm)} ({size_mm[0] / MM_PER_INCH:.3f} × {size_mm[1] / MM_PER_INCH:.3f} in)"


def custom_size(size_mm: tuple[float, float]) -> str | None:
    """The page size to type into the driver, width × height; None where the driver's own size will do.

    A standard sheet with its long edge across the feed is not the driver's upright page, and a
    driver's "B5" is often the JIS one (182 × 257 mm; docs/sources.md, S4): both are typed in.
    """
    found = sheet_of(size_mm)
    if found is not None and not found.turned and not found.format.name.startswith("B"):
        return None
    return in_both_units(size_mm)


def mistakes(size_mm: tuple[float, float], folded_mm: tuple[float, float]) -> list[Message]:
    """Warnings where another size of nearly this name or shape would be chosen by mistake."""
    said: list[Message] = []
    sharing, near = sharing_a_side(size_mm), near_miss(size_mm)
    typed = in_both_units(size_mm)
    if near is not None:
        said.append(Message("fit.nearly-a-size", size=_full(near), typed=typed))
    elif sharing is not None:
        said.append(Message("fit.one-edge-of-a-size", size=_full(sharing), typed=typed))
    named = [found.format for found in (card_of(folded_mm), sheet_of(size_mm)) if found]
    said += [
        Message(
            "fit.not-the-iso-size",
            name=us.name,
            size=f"{us.short_mm:.0f} × {us.long_mm:.0f} mm",
            iso=_full(iso),
            iso_name=iso.name,
        )
        for us in named
        for iso in [iso_namesake(us)]
        if us.family == "US" and iso is not None
    ]
    return said


def what_to_choose(stock: Stock, folded_mm: tuple[float, float]) -> Message:
    """A note on what goes into the driver: the open size, never the folded one."""
    size = stock.open_size_mm
    found, typed = sheet_of(size), custom_size(size)
    if typed is None and found is not None:
        choose = Message("fit.choose-page-size", size=found.format.name)
    else:
        choose = Message("fit.make-page-size", size=typed)
    if not stock.creases and card_of(size) and min(size) < LARGEST_FOLDED_MM:
        return Message("fit.page-size-unless-it-folds", choose=choose)
    if not stock.creases:
        return Message("fit.page-size", choose=choose)
    return Message("fit.page-size-open", choose=choose, folded_mm=folded_mm)


def _full(each: Format) -> str:
    return f"{each.name} ({in_words((each.short_mm, each.long_mm))})"
