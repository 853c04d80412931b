"""A photograph's numbers at places on its sheets: the middle of each, what it spreads, and whether it is clipped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.photo.plane import PhotoMap
from tackside.reading.scan.colours import MAD_TO_SD, numbers_at
from tackside.reading.scan.image_file import Pixels

# Of a patch's width and height, at least and at most: the rest, so many pixels on each side, keeps clear of blur, of
# sharpening and of what lies beside. The more of it is taken, the less its own mottle and the camera's noise tell.
LEAST_INNER, MOST_INNER, MARGIN_PX = 0.55, 0.8, 3.0
SIDE = 12  # samples along one side of a place
# A share of a place's pixels at the upper end of the numbers that spoils its mean.
CLIPPED_SHARE = 0.1
UPPER_END = 0.992
TRIMMED_SD = 3.0
LIKE = 6  # so many places to each side of one in lightness say how far its own quarters spread


@dataclass(frozen=True, eq=False)
class Samples:
    """Of n places: ``px`` (n, 2) their middles in the picture, ``mean`` (n, 3) file numbers 0 to 1 of what is left
    when strays are trimmed, ``sd`` (n, 3) how far the four quarters of each spread (one standard
    deviation, with that of places of like lightness), ``clipped`` (n,) bool.

    Quarters tell of mottle, which is as wide as half a patch, what single pixels don't: these tell of the camera's
    noise, of which a mean of hundreds keeps next to nothing.
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
    sd = _pooled(_of_quarters(numbers), mean)
    clipped = (numbers >= UPPER_END).mean(axis=1).max(axis=1) > CLIPPED_SHARE
    return Samples(sheet_map.to_px(middles), mean, sd, clipped)


def _of_quarters(numbers: Floats) -> Floats:
    """Standard deviation (n, 3) of the medians of four quarters of places, by samples (n, SIDE², 3). Medians: a quarter
    may hold more strays than not."""
    half = SIDE // 2
    quarters = numbers.reshape(len(numbers), 2, half, 2, half, 3)
    return np.asarray(np.median(quarters, axis=(2, 4)).reshape(len(numbers), 4, 3).std(axis=1, ddof=1))


def _pooled(sd: Floats, mean: Floats) -> Floats:
    """Standard deviations (n, 3) of three degrees of freedom each, with those of the places next in lightness."""
    order = np.argsort(mean.sum(axis=1))
    padded = np.pad(sd[order] ** 2, ((LIKE, LIKE), (0, 0)), mode="reflect" if len(sd) > LIKE else "edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * LIKE + 1, axis=0)
    pooled = np.empty_like(sd)
    pooled[order] = np.sqrt(windows.mean(axis=-1))
    return pooled


def inner(sizes_mm: Floats, px_per_mm: float) -> Floats:
    """How much of patches (n, 2), width and height in mm, is looked at: likewise, in mm."""
    share = 1.0 - 2.0 * MARGIN_PX / np.maximum(sizes_mm * px_per_mm, 1.0)
    return np.asarray(sizes_mm * np.clip(share, LEAST_INNER, MOST_INNER))


def inside(pixels: Pixels, px: Floats, margin: float = 2.0) -> NDArray[np.bool_]:
    """Which points (n, 2) lie in the picture, ``margin`` pixels from its edges at least."""
    height, width = pixels.shape[:2]
    return np.asarray(np.all((px >= margin) & (px <= np.array([width, height]) - margin), axis=1))


def linear(numbers: Floats) -> Floats:
    """Light of file numbers 0 to 1 by the curve of IEC 61966-2-1: a first guess, since each camera bends it."""
    return np.where(numbers <= 0.04045, numbers / 12.92, ((numbers + 0.055) / 1.055) ** 2.4)
