"""A scan's numbers to XYZ in bulk: three curves and a matrix, where the profile is made so.

LittleCMS is exact for any profile, but too slow for millions of pixels. Most scanners' profiles, and sRGB, are three
curves and a matrix (ICC.1, clause 8.3). The curves are taken from the profile by LittleCMS itself, channel by
channel; the
sums are then tried on colours from all over the cube, and where they stray LittleCMS does the work after all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_76
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.reading.scan.image_file import Pixels, ScanImage

_NODES = 4096
_CLOSE = 0.5  # ΔE*ab at most, on the colours tried
_TRIED = 7


@dataclass(frozen=True, eq=False)
class _Matrix:
    """``curves`` (3, numbers): linear light of each channel for each number; ``columns`` (3, 3): XYZ of full
    strength.
    """

    curves: NDArray[np.float32]
    columns: NDArray[np.float32]


def numbers_to_xyz(scan: ScanImage, numbers: Pixels) -> Floats:
    """XYZ (..., 3), Y = 1 for the perfect diffuser, of the scan's own numbers (..., 3)."""
    profile = scan.profile if scan.profile is not None else working_space_profile("srgb")
    matrix = _matrix_of(profile, scan.bits)
    if matrix is None:
        flat = numbers.reshape(-1, 3) / float(np.iinfo(scan.pixels.dtype).max)
        return lab_to_xyz(rgb_to_lab_by_profile(flat, profile)).reshape(numbers.shape)
    light = np.stack([matrix.curves[band][numbers[..., band]] for band in range(3)], axis=-1)
    return np.asarray(light @ matrix.columns.T, dtype=np.float64)


@lru_cache(maxsize=4)
def _matrix_of(profile: bytes, bits: int) -> _Matrix | None:
    levels = np.linspace(0.0, 1.0, _NODES)
    top = 2**bits - 1
    curves, columns = [], []
    for band in range(3):
        ramp = np.zeros((_NODES, 3))
        ramp[:, band] = levels
        xyz = lab_to_xyz(rgb_to_lab_by_profile(ramp, profile))
        along = (xyz - xyz[0]) @ (xyz[-1] - xyz[0])
        if along[-1] <= 0:
            return None
        curves.append(np.interp(np.arange(top + 1) / top, levels, along / along[-1]))
        columns.append(xyz[-1] - xyz[0])
    matrix = _Matrix(np.array(curves, dtype=np.float32), np.column_stack(columns).astype(np.float32))
    steps = np.linspace(0, top, _TRIED).astype(np.int64)
    tried = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    exact = rgb_to_lab_by_profile(tried / top, profile)
    light = np.stack([matrix.curves[band][tried[:, band]] for band in range(3)], axis=-1)
    ours = xyz_to_lab(np.maximum(np.asarray(light @ matrix.columns.T, dtype=np.float64), 0.0))
    return matrix if float(delta_e_76(exact, ours).max()) <= _CLOSE else None
