"""What is laid on a face beside its pictures: flat grounds, type, rules and codes, all in mm on the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from tackside.card.type.typeface import Typeface
from tackside.fit.model import TurnDeg
from tackside.records.sheet_plan import Space
from tackside.units import Box

QUIET_MODULES = 4  # ISO/IEC 18004
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

    @property
    def ground_mm(self) -> Box:
        """The symbol's box with its quiet zone."""
        return self.box_mm.shrunk(-QUIET_MODULES * self.box_mm.w / len(self.modules))

    def dark_runs(self) -> Iterator[Box]:
        """The dark modules on the sheet, in mm; each row's neighbours joined."""
        rows: Sequence[Sequence[bool]] = self.modules
        for _ in range(self.turn_deg // 90):
            rows = list(zip(*rows[::-1], strict=True))  # a quarter turn clockwise
        side = self.box_mm.w / len(rows)
        for y, row in enumerate(rows):
            first = 0
            for dark, run in groupby(row):
                count = len(list(run))
                if dark:
                    yield Box(self.box_mm.x + first * side, self.box_mm.y + y * side, count * side, side)
                first += count


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


def rgb_in(space: Space, colour: str) -> Rgb:
    """An sRGB colour such as ``#204060`` as RGB, 0 to 1, of a working space, to the media-relative colour."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    if space == "srgb" or red == green == blue in (0.0, 1.0):
        return red, green, blue
    import numpy as np  # kept off the start-up path

    from tackside.colour.rgb_spaces import ADOBE_RGB, SRGB, rgb_to_xyz_d50, xyz_d50_to_rgb

    found = xyz_d50_to_rgb(rgb_to_xyz_d50(np.array([red, green, blue]), SRGB), ADOBE_RGB)
    r, g, b = (float(np.clip(value, 0, 1)) for value in found)
    return r, g, b
