"""The printer's grid, to which lengths in mm are snapped, so that every edge falls between two dots; and the canvas on
it: an 8-bit RGB image addressed in mm, white at first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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


Image = NDArray[np.uint8]


def to_bytes(rgb: Sequence[float]) -> NDArray[np.uint8]:
    """RGB 0 to 1 as 8-bit numbers, nearest."""
    return np.floor(np.asarray(rgb, dtype=np.float64) * 255.0 + 0.5).astype(np.uint8)


class Canvas:
    """Pixels of one sheet, shape (h, w, channels). Everything outside the sheet is cut off silently."""

    def __init__(self, width: int, height: int, ppi: float, channels: int = 3) -> None:
        self.pixels: Image = np.full((height, width, channels), 255, dtype=np.uint8)
        self.grid = Grid(ppi)

    def view(self, box: Box) -> Image:
        """The pixels under a box, to be written to."""
        left, top, right, bottom = self.grid.box_dots(box)
        return self.pixels[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)]

    def fill(self, box: Box, rgb: Sequence[float]) -> None:
        """One flat colour, exact to the pixel."""
        self.view(box)[...] = to_bytes(rgb)

    def paste(self, image: NDArray[np.uint8], box: Box) -> None:
        """Put an image (h, w) or (h, w, 3) at the top left corner of a box."""
        left, top, _, _ = self.grid.box_dots(box)
        height, width = image.shape[:2]
        window = self.pixels[top : top + height, left : left + width]
        source = image if image.ndim == 3 else image[..., None]
        window[...] = source[: window.shape[0], : window.shape[1]]

    def blend(self, left: int, top: int, cover: NDArray[np.float32], rgb: Sequence[float]) -> None:
        """Lay ink over what is there; ``cover`` (h, w) is the share of each pixel it hides, 0 to 1."""
        height, width = cover.shape
        y0, x0 = max(top, 0), max(left, 0)
        window = self.pixels[y0 : max(top + height, 0), x0 : max(left + width, 0)]
        if window.size == 0:
            return
        part = cover[y0 - top : y0 - top + window.shape[0], x0 - left : x0 - left + window.shape[1], None]
        ink = to_bytes(rgb).astype(np.float32)
        ground = window.astype(np.float32)
        window[...] = np.floor(ground + part * (ink - ground) + 0.5).astype(np.uint8)


def half_plane_cover(
    shape: tuple[int, int], through: tuple[float, float], normal: tuple[float, float]
) -> NDArray[np.float32]:
    """The share of each pixel on the side that ``normal`` points away from, exact for a straight edge.

    ``shape`` is (h, w); ``through`` (x, y) is a point of the edge in pixels, pixel (0, 0) covering 0 to 1.
    The area of a unit square cut by a line at signed distance d from its centre has a closed form: with
    a ≥ b the moduli of the unit normal's parts, it is linear in the middle and quadratic towards the ends
    (elementary geometry).
    """
    height, width = shape
    length = float(np.hypot(*normal))
    nx, ny = normal[0] / length, normal[1] / length
    x = np.arange(width, dtype=np.float64)[None, :] + 0.5 - through[0]
    y = np.arange(height, dtype=np.float64)[:, None] + 0.5 - through[1]
    distance = x * nx + y * ny
    a, b = max(abs(nx), abs(ny)), min(abs(nx), abs(ny))
    reach, knee = (a + b) / 2, (a - b) / 2
    inside = np.clip(0.5 - distance / a, 0.0, 1.0)
    if b > 1e-12:
        tail = np.clip(reach - np.abs(distance), 0.0, None) ** 2 / (2 * a * b)
        bent = np.where(distance > 0, tail, 1.0 - tail)
        inside = np.where(np.abs(distance) > knee, bent, inside)
    return inside.astype(np.float32)
