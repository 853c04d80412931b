"""Which named size a size is: the sheet's, the card's; and the named ones that it is mistaken for.

The families are kept apart: the US A2, A6 and A7 cards and envelopes are not the ISO sizes of that name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from tackside.fit.sizes.format_tables import CARDS, ISO_SHEETS, SHEETS, US_SHEETS, Format

# Two sizes are the same where both edges agree within this; a printer's list of sizes is read so too.
SAME_MM = 0.5
# One edge near a standard size, the other far off: what tempts people to choose the standard size.
NEAR_MM = 3.0


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
