"""What is laid on a face beside its pictures: flat grounds, type, rules and codes, all in mm on the sheet."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.card.type.typeface import Typeface
from tackside.fit.model import TurnDeg
from tackside.units import Box

# Red, green and blue, 0 to 1, in the card's working space.
Rgb = tuple[float, float, float]


@dataclass(frozen=True)
class PlacedFill:
    """A flat ground. ``box_mm`` may reach past the sheet's edge, by its bleed."""

    box_mm: Box
    rgb: Rgb


@dataclass(frozen=True)
class PlacedRule:
    """A straight line with square ends: a hairline along a crease, a trim tick."""

    start: tuple[float, float]
    end: tuple[float, float]
    width_mm: float
    rgb: Rgb


@dataclass(frozen=True)
class PlacedCode:
    """A QR code. ``box_mm`` is the symbol without its quiet zone, ``modules`` its rows as its reader sees them.

    ``ground`` is laid four modules wider all round (ISO/IEC 18004's quiet zone); None leaves what is there.
    """

    box_mm: Box
    modules: tuple[tuple[bool, ...], ...]
    turn_deg: TurnDeg
    rgb: Rgb = (0.0, 0.0, 0.0)
    ground: Rgb | None = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class PlacedGlyph:
    """A glyph by its number in the font; ``x_mm`` and ``y_mm`` are its origin on the upright panel.

    ``text`` is what it stands for: several characters for a ligature, none for the rest of a cluster.
    """

    gid: int
    x_mm: float
    y_mm: float
    text: str = ""


@dataclass(frozen=True)
class GlyphRun:
    """Glyphs of one font, size and colour on one line, from left to right. ``text`` is what they say, as it is read."""

    font: Typeface
    size_pt: float
    rgb: Rgb
    glyphs: tuple[PlacedGlyph, ...]
    text: str
    right_to_left: bool = False
