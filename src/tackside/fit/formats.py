"""Sizes that have a name: sheets, folded cards and envelopes, by family.

The families are kept apart: the US A2, A6 and A7 cards and envelopes are not the ISO sizes of that name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

from tackside.units import MM_PER_INCH

# The two families that a card, a sheet or an envelope can belong to.
Family = Literal["ISO", "US"]
Kind = Literal["sheet", "card", "envelope"]

# Two sizes are the same where both edges agree within this; a printer's list of sizes is read so too.
SAME_MM = 0.5
# One edge near a standard size, the other far off: what tempts people to choose the standard size.
NEAR_MM = 3.0


class Format(NamedTuple):
    """A named size, short edge first, in mm."""

    name: str
    family: Family
    kind: Kind
    short_mm: float
    long_mm: float
    source: str


class Named(NamedTuple):
    """A format found for a size; ``turned`` where its long edge runs across the feed."""

    format: Format
    turned: bool


def _iso(kind: Kind, source: str, sizes: dict[str, tuple[float, float]]) -> tuple[Format, ...]:
    return tuple(Format(name, "ISO", kind, short, long, source) for name, (short, long) in sizes.items())


def _us(kind: Kind, source: str, inches: dict[str, tuple[float, float]]) -> tuple[Format, ...]:
    return tuple(
        Format(name, "US", kind, short * MM_PER_INCH, long * MM_PER_INCH, source)
        for name, (short, long) in inches.items()
    )


ISO_SHEETS = _iso(
    "sheet",
    "ISO 216",
    {
        "A3": (297, 420),
        "A4": (210, 297),
        "A5": (148, 210),
        "A6": (105, 148),
        "A7": (74, 105),
        "B4": (250, 353),
        "B5": (176, 250),
        "B6": (125, 176),
        "B7": (88, 125),
    },
)
US_SHEETS = _us(
    "sheet",
    "US trade sizes, common practice",
    {
        "US letter": (8.5, 11),
        "US half letter": (5.5, 8.5),
        "US legal": (8.5, 14),
        "US tabloid": (11, 17),
        "13 × 19 in": (13, 19),
        "8 × 10 in": (8, 10),
        "5 × 7 in": (5, 7),
        "4 × 6 in": (4, 6),
    },
)
# Folded cards, by the name of the envelope that they are made for.
US_CARDS = _us(
    "card",
    "US trade sizes, common practice",
    {"US A2": (4.25, 5.5), "US A6": (4.5, 6.25), "US A7": (5, 7), "US A9": (5.5, 8.5)},
)
ISO_ENVELOPES = _iso(
    "envelope",
    "ISO 269",
    {
        "C7": (81, 114),
        "C7/C6": (81, 162),
        "C6": (114, 162),
        "C6/C5": (114, 229),
        "DL": (110, 220),
        "B6": (125, 176),
        "C5": (162, 229),
        "B5": (176, 250),
        "C4": (229, 324),
        "B4": (250, 353),
        "C3": (324, 458),
    },
)
US_ENVELOPES = _us(
    "envelope",
    "US trade sizes, common practice",
    {
        "US A2": (4.375, 5.75),
        "US A6": (4.75, 6.5),
        "US A7": (5.25, 7.25),
        "US A8": (5.5, 8.125),
        "US A9": (5.75, 8.75),
        "US A10": (6, 9.5),
        "US #10": (4.125, 9.5),
    },
)
SHEETS = ISO_SHEETS + US_SHEETS
ENVELOPES = ISO_ENVELOPES + US_ENVELOPES


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
    """The name of a folded card: a US card size, else the ISO 216 or US sheet of that size."""
    return named(size_mm, US_CARDS) or named(size_mm, SHEETS)


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
