"""Lengths, sizes and boxes: millimetres everywhere, pixels only beside a grid in ppi.

Sheet coordinates: origin at the top left corner of the printed face as fed, x to the right (across
the feed), y downwards (along the feed), millimetres.
"""

from __future__ import annotations

import math
from typing import NamedTuple

MM_PER_INCH = 25.4
MM_PER_POINT = 25.4 / 72.0


class Size(NamedTuple):
    """Width (across the feed) and height (along the feed)."""

    w: float
    h: float


class Box(NamedTuple):
    """A rectangle by its top left corner and its size, in mm; in JSON the list ``[x, y, w, h]``."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        return self.x + self.w

    @property
    def bottom(self) -> float:
        return self.y + self.h

    @property
    def centre(self) -> tuple[float, float]:
        return self.x + self.w / 2, self.y + self.h / 2

    def inset(self, left: float, top: float, right: float, bottom: float) -> Box:
        """The box with each edge moved inwards by so many mm (outwards where negative)."""
        return Box(self.x + left, self.y + top, self.w - left - right, self.h - top - bottom)

    def shrunk(self, by: float) -> Box:
        """The box with all four edges moved inwards alike."""
        return self.inset(by, by, by, by)

    def intersection(self, other: Box) -> Box | None:
        """What both boxes cover, or None where they share no area."""
        x, y = max(self.x, other.x), max(self.y, other.y)
        right, bottom = min(self.right, other.right), min(self.bottom, other.bottom)
        if right <= x or bottom <= y:
            return None
        return Box(x, y, right - x, bottom - y)

    def contains(self, other: Box, slack: float = 1e-6) -> bool:
        """Whether ``other`` lies wholly inside, give or take ``slack`` mm."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


def mm_to_px(mm: float, ppi: float) -> float:
    return mm * ppi / MM_PER_INCH


def px_to_mm(px: float, ppi: float) -> float:
    return px * MM_PER_INCH / ppi


def sheet_px(size_mm: tuple[float, float], ppi: float) -> tuple[int, int]:
    """Width and height of a sheet in whole pixels, nearest."""
    return round(mm_to_px(size_mm[0], ppi)), round(mm_to_px(size_mm[1], ppi))


def up_to_tenth(mm: float) -> float:
    """The next tenth of a mm: for lengths that people are to set, so that they are surely enough."""
    return math.ceil(mm * 10 - 1e-6) / 10
