"""Noise that is the same everywhere: hashed whole numbers on lattices, smoothly enlarged and summed.

No random generator is used, so a new version of a library cannot change the picture.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

# Planes and pictures are kept in 32 bits; the type admits what numpy's own rules make of a sum.
Plane = NDArray[np.floating[Any]]


def hashed(shape: tuple[int, ...], seed: int) -> Plane:
    """Evenly spread values from 0 to 1, one a cell: a 32-bit integer finaliser over the cell's number."""
    cells = np.arange(int(np.prod(shape)), dtype=np.uint32) + np.uint32((seed * 0x9E3779B9) & 0xFFFFFFFF)
    for shift, factor in ((16, 0x7FEB352D), (15, 0x846CA68B)):
        cells ^= cells >> np.uint32(shift)
        cells *= np.uint32(factor)
    cells ^= cells >> np.uint32(16)
    return (cells.astype(np.float32) / np.float32(2**32)).reshape(shape)


def smooth(shape: tuple[int, int], cells_down: float, cells_across: float, seed: int) -> Plane:
    """One octave, 0 to 1: a lattice of about so many cells, enlarged by cubic interpolation."""
    down, across = max(int(cells_down), 1) + 3, max(int(cells_across), 1) + 3
    lattice = hashed((down, across), seed)
    height, width = shape
    scale_y, scale_x = max(cells_down, 1e-3) / height, max(cells_across, 1e-3) / width
    matrix = np.array([[scale_x, 0, 1.0], [0, scale_y, 1.0]], dtype=np.float64)
    return np.asarray(
        cv2.warpAffine(
            lattice, matrix, (width, height),
            flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REFLECT,
        ),
        dtype=np.float32,
    )  # fmt: skip


def layered(
    shape: tuple[int, int],
    cells_down: float,
    cells_across: float,
    seed: int,
    octaves: int = 5,
    fade: float = 0.5,
) -> Plane:
    """Octaves of ever finer noise, each fainter by ``fade``; about 0 to 1 with its middle at 0.5.

    Octaves finer than the pixels are left out; where none is left, the middle alone stands.
    """
    total = np.zeros(shape, dtype=np.float32)
    weight, whole = 1.0, 0.0
    for octave in range(octaves):
        if cells_down * 2**octave > shape[0] and cells_across * 2**octave > shape[1]:
            break
        total += np.float32(weight) * smooth(
            shape, cells_down * 2**octave, cells_across * 2**octave, seed + 101 * octave
        )
        whole += weight
        weight *= fade
    return total / np.float32(whole) if whole else total + np.float32(0.5)


def step(low: float, high: float, values: Plane) -> Plane:
    """0 below ``low``, 1 above ``high``, a smooth cubic between."""
    share = np.clip((values - np.float32(low)) / np.float32(high - low), 0, 1)
    return np.asarray(share * share * (3 - 2 * share), dtype=np.float32)
