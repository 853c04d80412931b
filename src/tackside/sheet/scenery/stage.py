"""The stage: a float RGB picture addressed by shares of its height, and the ways to lay colour on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from tackside.sheet.scenery.noise import Plane

Colour = tuple[float, float, float]
_SHIFT = 4  # sub-pixel bits of OpenCV's polygons


@dataclass
class Stage:
    """``rgb`` is (h, w, 3), 0 to 1, encoded as sRGB. u runs right and v down, both in picture heights."""

    rgb: Plane

    @property
    def height(self) -> int:
        return int(self.rgb.shape[0])

    @property
    def aspect(self) -> float:
        return float(self.rgb.shape[1] / self.rgb.shape[0])

    def row(self, v: float) -> int:
        return round(v * self.height)

    def axes(self, top: float = 0.0, bottom: float = 1.0) -> tuple[Plane, Plane]:
        """u as (1, w) and v as (rows, 1) for the rows from ``top`` to ``bottom``."""
        size = np.float32(self.height)
        half = np.float32(0.5)
        u = (np.arange(self.rgb.shape[1], dtype=np.float32)[None, :] + half) / size
        v = (np.arange(self.row(top), self.row(bottom), dtype=np.float32)[:, None] + half) / size
        return u, v

    def shape_cover(self, outlines: Sequence[Sequence[tuple[float, float]]]) -> tuple[slice, slice, Plane]:
        """Rows, columns and cover (0 to 1, smooth edges) of filled outlines given in (u, v)."""
        points = [np.asarray(outline, dtype=np.float64) * self.height for outline in outlines]
        everything = np.concatenate(points)
        x0, y0 = np.maximum(np.floor(everything.min(axis=0)).astype(int) - 2, 0)
        x1, y1 = np.minimum(np.ceil(everything.max(axis=0)).astype(int) + 2, self.rgb.shape[1::-1])
        if x1 <= x0 or y1 <= y0:
            return slice(0, 0), slice(0, 0), np.zeros((0, 0), dtype=np.float32)
        mask = np.zeros((y1 - y0, x1 - x0), dtype=np.uint8)
        shifted = [np.round((part - (x0, y0) - 0.5) * 2**_SHIFT).astype(np.int32) for part in points]
        cv2.fillPoly(mask, shifted, 255, cv2.LINE_AA, _SHIFT)
        return slice(y0, y1), slice(x0, x1), mask.astype(np.float32) / np.float32(255)

    def fill(self, outline: Sequence[tuple[float, float]], colour: Colour, opacity: float = 1.0) -> None:
        rows, columns, cover = self.shape_cover([outline])
        lay(self.rgb[rows, columns], cover * np.float32(opacity), colour)

    def stroke(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        width: float,
        colour: Colour,
        opacity: float = 1.0,
    ) -> None:
        """A straight line of a width in picture heights; thinner than a pixel it grows faint instead."""
        thin = max(width * self.height, 1.0) / self.height
        dx, dy = end[0] - start[0], end[1] - start[1]
        length = max(float(np.hypot(dx, dy)), 1e-9)
        nx, ny = -dy / length * thin / 2, dx / length * thin / 2
        self.fill(
            [(start[0] + nx, start[1] + ny), (end[0] + nx, end[1] + ny),
             (end[0] - nx, end[1] - ny), (start[0] - nx, start[1] - ny)],
            colour, opacity * min(width / thin, 1.0),
        )  # fmt: skip


def lay(window: Plane, cover: Plane, colour: Colour | Plane) -> None:
    """Blend a colour, or a picture of the same size, over a window in place."""
    window += cover[..., None] * (np.asarray(colour, dtype=np.float32) - window)


def between(stops: Sequence[tuple[float, Colour]], at: Plane) -> Plane:
    """Colours read from a scale with stops in rising order; shape of ``at`` plus 3."""
    places = [place for place, _ in stops]
    return np.stack(
        [np.interp(at, places, [colour[channel] for _, colour in stops]) for channel in range(3)], axis=-1
    ).astype(np.float32)
