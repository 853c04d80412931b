"""Where a picture stands on its panel, and which part of it shows."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.card.file.design import WHOLE, CardPicture, own_field
from tackside.card.layout.zones import Frame, frame_of
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel, called
from tackside.messages.place import Place
from tackside.picture.file.open import Picture
from tackside.units import MM_PER_INCH, Box

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
