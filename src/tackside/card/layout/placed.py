"""What is laid on a face: pictures, and which part of each shows; flat grounds, type, rules and codes. All in mm on the
sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from tackside.card.file.design import WHOLE, CardPicture, own_field
from tackside.card.layout.zones import Frame, frame_of
from tackside.card.type.typeface import Typeface
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel, TurnDeg, called
from tackside.messages.place import Place
from tackside.picture.file.open import Picture
from tackside.records.sheet_plan import Space
from tackside.units import MM_PER_INCH, Box

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

    from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_xyz_d50, xyz_d50_to_rgb

    found = xyz_d50_to_rgb(rgb_to_xyz_d50(np.array([red, green, blue]), SRGB), ADOBE_RGB)
    r, g, b = (float(np.clip(value, 0, 1)) for value in found)
    return r, g, b


SMALLEST_MM = 1.0


@dataclass(frozen=True)
class PlacedPicture:
    """A picture on its panel. ``box_mm`` lies on the sheet; ``part_px`` is what shows, in the upright
    picture's pixels; ``ppi`` is its true resolution there, pixels of the picture an inch. ``part`` is which picture of
    the card it is."""

    asked: CardPicture
    picture: Picture
    frame: Frame
    box_mm: Box
    part_px: Box
    ppi: float
    part: Place = WHOLE

    @property
    def place(self) -> tuple[Box, Box, int]:
        """All that its pixels on the sheet hang on, but for the picture itself."""
        return self.box_mm, self.part_px, self.frame.turn_deg


def place_picture(
    asked: CardPicture, picture: Picture, panel: Panel, bleed: Box | None = None, part: Place = WHOLE
) -> PlacedPicture:
    """Lay a picture on its panel. ``bleed``, on the sheet, is how far one with ``placed_mm`` may reach.

    Raises DoesNotFit where the border leaves no room.
    """
    frame = frame_of(panel, asked.turn)
    room = Box(0, 0, *frame.size).shrunk(asked.border_mm)
    if room.w < SMALLEST_MM or room.h < SMALLEST_MM:
        raise DoesNotFit(
            "card.border-leaves-no-room",
            place=own_field("border_mm"),
            border_mm=asked.border_mm,
            panel=called(asked.panel),
            panel_mm=frame.size,
            most_mm=min(frame.size) / 2,
        )
    if asked.placed_mm is not None:
        reach = room if bleed is None else frame.box_on_panel(bleed)
        box, shown = placed_part(asked, picture, reach, panel.name)
    elif asked.fit == "fill":
        box, shown = room, filling_part(picture.size_px, room.w / room.h, asked.focus)
    else:
        box, shown = fitting_box(room, picture.size_px), Box(0, 0, *picture.size_px)
    if min(box.w, box.h) < SMALLEST_MM:
        raise DoesNotFit(
            "card.picture-too-narrow",
            place=own_field("fit"),
            file=asked.file,
            width_mm=min(box.w, box.h),
            panel=called(asked.panel),
        )
    ppi = shown.w / (box.w / MM_PER_INCH)
    return PlacedPicture(asked, picture, frame, frame.box_on_sheet(box), shown, ppi, part)


def placed_part(asked: CardPicture, picture: Picture, room: Box, panel: str) -> tuple[Box, Box]:
    """What shows of a picture that lies at a place of its own: its box in the room, and that part in pixels."""
    x, y, w = asked.placed_mm or (0.0, 0.0, room.w)
    px_per_mm = picture.size_px[0] / w
    seen = Box(x, y, w, picture.size_px[1] / px_per_mm).intersection(room)
    if seen is None or min(seen.w, seen.h) < SMALLEST_MM:
        raise DoesNotFit(
            "card.picture-outside-panel", place=own_field("placed_mm"), file=asked.file, panel=called(panel)
        )
    return seen, Box(
        (seen.x - x) * px_per_mm, (seen.y - y) * px_per_mm, seen.w * px_per_mm, seen.h * px_per_mm
    )


def filling_part(size_px: tuple[int, int], aspect: float, focus: tuple[float, float]) -> Box:
    """The largest part of a picture with that aspect (width ÷ height), as near round the focus as its edges
    allow.
    """
    width, height = float(size_px[0]), float(size_px[1])
    part_w, part_h = min(width, height * aspect), min(height, width / aspect)
    x = min(max(focus[0] * width - part_w / 2, 0.0), width - part_w)
    y = min(max(focus[1] * height - part_h / 2, 0.0), height - part_h)
    return Box(x, y, part_w, part_h)


def fitting_box(room: Box, size_px: tuple[int, int]) -> Box:
    """The largest box of the picture's own aspect in the middle of the room."""
    scale = min(room.w / size_px[0], room.h / size_px[1])
    width, height = size_px[0] * scale, size_px[1] * scale
    x, y = room.centre
    return Box(x - width / 2, y - height / 2, width, height)
