"""The named sizes themselves: sheets, folded and flat cards, each table with its source."""

from __future__ import annotations

from typing import Literal, NamedTuple

from tackside.units import MM_PER_INCH

# ISO and US are families of their own; ``metric`` are sizes in mm that the trade uses and no standard has.
Family = Literal["ISO", "US", "metric"]
Kind = Literal["sheet", "card", "envelope"]


class Format(NamedTuple):
    """A named size, short edge first, in mm."""

    name: str
    family: Family
    kind: Kind
    short_mm: float
    long_mm: float
    source: str


def _iso(kind: Kind, source: str, sizes: dict[str, tuple[float, float]]) -> tuple[Format, ...]:
    return tuple(Format(name, "ISO", kind, short, long, source) for name, (short, long) in sizes.items())


def _metric(kind: Kind, source: str, sizes: dict[str, tuple[float, float]]) -> tuple[Format, ...]:
    return tuple(Format(name, "metric", kind, short, long, source) for name, (short, long) in sizes.items())


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
# Finished cards: the first five by the name of the envelope that they are made for. Squares, slim cards and bookmarks
# are from memory (docs/sources.md, S3 and S4).
US_CARDS = _us(
    "card",
    "US trade sizes, common practice",
    {
        "US 4-bar": (3.5, 4.875),
        "US A2": (4.25, 5.5),
        "US A6": (4.5, 6.25),
        "US A7": (5, 7),
        "US A9": (5.5, 8.5),
        "US square 4.75 in": (4.75, 4.75),
        "US square 5.25 in": (5.25, 5.25),
        "US square 5.75 in": (5.75, 5.75),
        "US square 6.25 in": (6.25, 6.25),
        "US slim": (3.875, 8.875),
        "US bookmark": (2, 6),
    },
)
ISO_CARDS = _iso("card", "A4 of ISO 216 in three, common practice", {"a third of A4": (99, 210)})
METRIC_CARDS = _metric(
    "card",
    "sizes in common use, no standard",
    {
        "square 100 mm": (100, 100),
        "square 125 mm": (125, 125),
        "square 135 mm": (135, 135),
        "square 145 mm": (145, 145),
        "square 150 mm": (150, 150),
        "square 160 mm": (160, 160),
        "bookmark": (50, 150),
    },
)
SHEETS = ISO_SHEETS + US_SHEETS
CARDS = ISO_CARDS + US_CARDS + METRIC_CARDS
