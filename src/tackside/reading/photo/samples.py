"""A photograph's numbers at places on its sheets: the middle of each, what it spreads, and whether it is clipped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.photo.plane import PhotoMap
from tackside.reading.scan.colours import MAD_TO_SD, numbers_at
from tackside.reading.scan.image_file import Pixels

# Of a patch's width and height: the rest keeps clear of blur and of what lies beside.
INNER = 0.55
SIDE = 12  # samples along one side of a place
# A share of a place's pixels at the upper end of the numbers that spoils its mean.
CLIPPED_SHARE = 0.1
UPPER_END = 0.992
TRIMMED_SD = 3.0


@dataclass(frozen=True, eq=False)
class Samples:
    """Of n places: ``px`` (n, 2) their middles in the picture, ``mean`` (n, 3) file numbers 0 to 1 of what is left
    when strays are trimmed, ``sd`` (n, 3) the spread within, ``clipped`` (n,) bool.
    """

    px: Floats
    mean: Floats
    sd: Floats
    clipped: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.px)


def sample(pixels: Pixels, sheet_map: PhotoMap, middles: Floats, sizes: Floats) -> Samples:
    """Places with these ``middles`` (n, 2) and ``sizes`` (n, 2), width and height, in mm. Those outside the picture
    take what lies at its edge: see ``inside``."""
    if not len(middles):
        empty = np.empty((0, 3))
        return Samples(np.empty((0, 2)), empty, empty, np.empty(0, dtype=np.bool_))
    steps = (np.arange(SIDE) + 0.5) / SIDE - 0.5
    across, down = np.meshgrid(steps, steps)
    unit = np.stack([across.ravel(), down.ravel()], axis=-1)
    at = sheet_map.to_px(middles[:, None] + unit * sizes[:, None])
    top = float(np.iinfo(pixels.dtype).max)
    numbers = numbers_at(pixels, at).astype(np.float64) / top
    middle = np.median(numbers, axis=1, keepdims=True)
    scatter = MAD_TO_SD * np.median(np.abs(numbers - middle), axis=1, keepdims=True)
    kept = np.all(np.abs(numbers - middle) <= TRIMMED_SD * np.maximum(scatter, 1.5 / 255.0), axis=2)
    count = np.maximum(kept.sum(axis=1), 1)[:, None]
    mean = (numbers * kept[..., None]).sum(axis=1) / count
    sd = np.sqrt((((numbers - mean[:, None]) ** 2) * kept[..., None]).sum(axis=1) / count)
    clipped = (numbers >= UPPER_END).mean(axis=1).max(axis=1) > CLIPPED_SHARE
    return Samples(sheet_map.to_px(middles), mean, sd, clipped)


def inside(pixels: Pixels, px: Floats, margin: float = 2.0) -> NDArray[np.bool_]:
    """Which points (n, 2) lie in the picture, ``margin`` pixels from its edges at least."""
    height, width = pixels.shape[:2]
    return np.asarray(np.all((px >= margin) & (px <= np.array([width, height]) - margin), axis=1))


def linear(numbers: Floats) -> Floats:
    """Light of file numbers 0 to 1 by the curve of IEC 61966-2-1: a first guess, since each camera bends it."""
    return np.where(numbers <= 0.04045, numbers / 12.92, ((numbers + 0.055) / 1.055) ** 2.4)
