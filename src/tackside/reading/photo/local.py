"""What a phone does to each place because of what lies around it, and how that is taken back.

Phones raise what is lighter than its surroundings and lower what is darker ("local tone mapping"), so that dark patches
among bare card come out darker than the same ink elsewhere. Taken as linear: seen = own + k · (own − around), with the
mean of linear light ``around`` over a tenth of the picture. How strong it is, the known print's colours tell.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, Floats
from tackside.reading.photo.samples import linear
from tackside.reading.scan.image_file import Pixels

# Standard deviation of what counts as around, a share of the picture's longer side (this project's own estimate; from
# half to twice as wide is taken back nearly as well), and the strengths tried.
AROUND = 0.07
STRENGTHS = (0.0, 0.006, 0.012, 0.018, 0.025, 0.032)
_SMALL, _LOOKED_AT = 160, 1300


@dataclass(frozen=True, eq=False)
class Surroundings:
    """Mean linear light around each place of a picture: ``light`` (h, w, 3), ``scale`` times its size."""

    light: NDArray[np.float32]
    scale: float

    def at(self, px: Floats) -> Floats:
        """Around places ``px`` (n, 2): (n, 3)."""
        x, y = ((px + 0.5) * self.scale - 0.5).astype(np.float32).T
        found = cv2.remap(self.light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(found.reshape(-1, 3), dtype=np.float64)


def surroundings(pixels: Pixels) -> Surroundings:
    """Of a whole picture; every so many of its pixels are enough, and light is averaged, not numbers."""
    step = max(max(pixels.shape[:2]) // _LOOKED_AT, 1)
    top = int(np.iinfo(pixels.dtype).max)
    light = linear(np.arange(top + 1) / top).astype(np.float32)[pixels[::step, ::step]]
    height, width = light.shape[:2]
    scale = _SMALL / max(height, width)
    size = (max(round(width * scale), 1), max(round(height * scale), 1))
    small = cv2.resize(light, size, interpolation=cv2.INTER_AREA)
    blurred = cv2.GaussianBlur(small, (0, 0), AROUND * _SMALL)
    return Surroundings(np.asarray(blurred, dtype=np.float32), scale / step)


def taken_back(numbers: Floats, around: Floats, strength: float) -> Floats:
    """File numbers (n, 3), 0 to 1, as they would be had nothing been done by what lies around."""
    if strength == 0.0:
        return numbers
    return np.asarray(SRGB.encode((linear(numbers) + strength * around) / (1.0 + strength)))
