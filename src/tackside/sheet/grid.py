"""The printer's grid: lengths in mm snapped to whole dots, so that every edge falls between two dots."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tackside.units import MM_PER_INCH, Box


@dataclass(frozen=True)
class Grid:
    """Dots of one resolution. A snapped box starts and ends on a whole dot and says so in mm."""

    ppi: float

    def dots(self, mm: float) -> int:
        """The nearest whole number of dots (halves upwards)."""
        return math.floor(mm * self.ppi / MM_PER_INCH + 0.5)

    def mm(self, dots: float) -> float:
        return dots * MM_PER_INCH / self.ppi

    def snapped(self, mm: float) -> float:
        """The length of the nearest whole number of dots, in mm."""
        return self.mm(self.dots(mm))

    def box(self, x: float, y: float, w: float, h: float) -> Box:
        """A box whose corner and size are snapped: equal sizes stay equal wherever they stand."""
        return Box(*(self.snapped(length) for length in (x, y, w, h)))

    def box_within(self, box: Box) -> Box:
        """The largest snapped box that does not leave ``box``, but for a thousandth of a dot."""
        left, top = (math.ceil(edge * self.ppi / MM_PER_INCH - 1e-3) for edge in (box.x, box.y))
        right, bottom = (math.floor(edge * self.ppi / MM_PER_INCH + 1e-3) for edge in (box.right, box.bottom))
        return Box(*(self.mm(dots) for dots in (left, top, right - left, bottom - top)))

    def box_dots(self, box: Box) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in dots; the right and bottom ones are just outside."""
        left, top = self.dots(box.x), self.dots(box.y)
        return left, top, left + self.dots(box.w), top + self.dots(box.h)
