"""Strips of a scan, straightened: levels along many profiles that leave the sheet at right angles to one side."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import Pixels


@dataclass(frozen=True, eq=False)
class Strip:
    """``levels`` (n, m, 3) of full scale on n profiles at ``along_mm`` (n,), at ``steps_mm`` (m,) outwards.

    ``last`` (n,) is the last step of each profile that lies in the scan, −1 where not even the first does.
    """

    levels: Floats
    last: NDArray[np.intp]
    along_mm: Floats
    steps_mm: Floats


def cut_strip(
    pixels: Pixels, sheet_map: SheetMap, places: Floats, outwards: Floats, along_mm: Floats, steps_mm: Floats
) -> Strip:
    """Bilinear levels at ``places`` (n, 2) mm plus ``steps_mm`` times the unit vector ``outwards`` (2,).

    Beyond the scan a profile goes on with its last level, so that the scan's own border is no step.
    """
    points = sheet_map.to_px(places[:, None, :] + steps_mm[None, :, None] * outwards)
    height, width = pixels.shape[:2]
    inside = np.all((points >= 0) & (points <= (width, height)), axis=-1)
    last = np.where(inside.all(axis=1), len(steps_mm), np.argmin(inside, axis=1)) - 1
    shown = np.minimum(np.arange(len(steps_mm)), np.maximum(last, 0)[:, None])
    levels = sample(pixels, points) / float(np.iinfo(pixels.dtype).max)
    return Strip(np.take_along_axis(levels, shown[..., None], axis=1), last, along_mm, steps_mm)


def sample(pixels: Pixels, points: Floats) -> Floats:
    """The scan's numbers (..., 3) at ``points`` (..., 2), bilinear, pixel centres lying at halves."""
    height, width = pixels.shape[:2]
    flat = points.reshape(-1, 2)
    left, top = np.clip(np.floor(flat.min(axis=0)).astype(int) - 2, 0, (width - 1, height - 1)).tolist()
    right, bottom = np.clip(
        np.ceil(flat.max(axis=0)).astype(int) + 2, (left + 1, top + 1), (width, height)
    ).tolist()
    part = np.ascontiguousarray(pixels[top:bottom, left:right], dtype=np.float32)
    x, y = (
        np.ascontiguousarray(points[..., axis] - (left, top)[axis] - 0.5, dtype=np.float32) for axis in (0, 1)
    )
    seen = cv2.remap(part, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, dtype=np.float64)
