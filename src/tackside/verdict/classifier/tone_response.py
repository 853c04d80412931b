"""A tone response: which colour a path of printer, settings and card gives each RGB number.

The grey axis runs from black to paper and every colour lies in one of six tetrahedra about it, whose corners are
paper, black and the six solids: a plain way to carry what eight colours say to all others, with the greys even in
L* as the trade makes them. What a reference reading says beyond its eight corners is carried between its patches
by radial basis functions (kernel r), which meet every patch read.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.rgb_spaces import SRGB, rgb_to_lab
from tackside.records.sheet_plan import Space
from tackside.verdict.measures.patch_table import Floats, PatchTable

# Corners of the number cube, in the order of the bits red 1, green 2, blue 4.
BLACK, RED, GREEN, YELLOW, BLUE, MAGENTA, CYAN, PAPER = range(8)
CORNERS = np.array([[number >> channel & 1 for channel in range(3)] for number in range(8)], dtype=float)

# Smoothing of a reference's residuals, as a share of the kernel's unit: its patches carry noise.
_SMOOTHING = 1e-3
_MOST_PATCHES = 450


def shares(numbers: Floats) -> Floats:
    """How much of each corner a number (..., 3) holds: (..., 8), sum 1, along tetrahedra about the grey axis."""
    level = levels(numbers)
    order = np.argsort(-level, axis=-1, kind="stable")
    high, middle, low = np.moveaxis(np.take_along_axis(level, order, axis=-1), -1, 0)
    first = 1 << order[..., 0]
    second = first | 1 << order[..., 1]
    held = np.zeros((*level.shape[:-1], 8))
    held[..., BLACK], held[..., PAPER] = 1.0 - high, low
    for corner, weight in ((first, high - middle), (second, middle - low)):
        np.put_along_axis(
            held, corner[..., None], np.take_along_axis(held, corner[..., None], -1) + weight[..., None], -1
        )
    return held


def levels(numbers: Floats) -> Floats:
    """L* / 100 of a grey of this number in sRGB, whose numbers are nearly even to the eye."""
    return np.asarray(np.interp(np.clip(numbers, 0.0, 1.0), _NUMBERS, _LIGHTNESS))


_NUMBERS = np.linspace(0.0, 1.0, 256)
_LIGHTNESS = rgb_to_lab(np.repeat(_NUMBERS[:, None], 3, axis=1), SRGB)[:, 0] / 100.0


@dataclass(frozen=True, eq=False)
class ToneResponse:
    """``corners`` (8, 3) CIELAB; ``at`` (n, 3) and ``weights`` (n, 3) carry a reference's patches, if any.

    ``space`` is that of the numbers it takes.
    """

    corners: Floats
    space: Space = "srgb"
    at: Floats | None = None
    weights: Floats | None = None

    def lab(self, numbers: Floats) -> Floats:
        """CIELAB (..., 3) of numbers (..., 3), 0 to 1."""
        shown = shares(numbers) @ self.corners
        if self.at is None or self.weights is None:
            return shown
        flat = levels(numbers).reshape(-1, 3)
        return shown + (_apart(flat, self.at) @ self.weights).reshape(shown.shape)


def from_table(table: PatchTable, space: Space = "srgb") -> ToneResponse | None:
    """The response that a reading shows; None where it lacks RGB numbers, paper, black or one of the six solids."""
    if table.rgb is None or len(table.solids) < 6:
        return None
    rows = {"r": RED, "g": GREEN, "y": YELLOW, "b": BLUE, "m": MAGENTA, "c": CYAN}
    corners = np.empty((8, 3))
    corners[BLACK], corners[PAPER] = table.lab[table.black], table.lab[table.paper]
    for name, row in table.solids.items():
        corners[rows[name]] = table.lab[row]
    keep = _spread_out(table.rgb)
    numbers, measured = table.rgb[keep], table.lab[keep]
    residual = measured - shares(numbers) @ corners
    at = levels(numbers)
    # The kernel r is conditionally definite of order 1: weights that sum to zero, and a constant left out since the
    # corners have carried it already. −r with a small nugget is solved as it stands.
    kernel = _apart(at, at) - _SMOOTHING * np.eye(len(at))
    return ToneResponse(corners, space, at, np.asarray(np.linalg.solve(kernel, residual), dtype=np.float64))


def _apart(one: Floats, other: Floats) -> Floats:
    """Distances (n, m) of points (n, 3) from points (m, 3). SciPy's take longer to import than a verdict."""
    total = np.zeros((len(one), len(other)))
    for axis in range(3):
        total += np.subtract.outer(one[:, axis], other[:, axis]) ** 2
    return np.sqrt(total)


def _spread_out(rgb: Floats) -> NDArray[np.intp]:
    """Rows of distinct numbers, at most so many, evenly through the list."""
    _, first = np.unique(np.round(rgb * 1000).astype(int), axis=0, return_index=True)
    rows = np.sort(first)
    return rows[:: max(1, -(-len(rows) // _MOST_PATCHES))]
