"""The loop behind ``lattice``: which points lie inside tetrahedra."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def mark_inside(corners: Any, filled: Any) -> None:
    """Mark the points inside each tetrahedron (m, 4, 3), in lattice steps: all four weights at least zero."""
    slack = -1e-9  # a point on a face belongs to both neighbours
    for m in range(corners.shape[0]):
        a = corners[m, 0]
        e, f, g = corners[m, 1] - a, corners[m, 2] - a, corners[m, 3] - a
        by_e, by_f, by_g = np.cross(f, g), np.cross(g, e), np.cross(e, f)
        six = e[0] * by_e[0] + e[1] * by_e[1] + e[2] * by_e[2]
        if abs(six) < 1e-9:
            continue
        low, high = np.empty(3, np.int64), np.empty(3, np.int64)
        for axis in range(3):
            least, most = corners[m, 0, axis], corners[m, 0, axis]
            for corner in range(1, 4):
                least = min(least, corners[m, corner, axis])
                most = max(most, corners[m, corner, axis])
            low[axis], high[axis] = int(np.ceil(least)), int(np.floor(most)) + 1
        for i in range(low[0], high[0]):
            for j in range(low[1], high[1]):
                for k in range(low[2], high[2]):
                    x, y, z = i - a[0], j - a[1], k - a[2]
                    u = (x * by_e[0] + y * by_e[1] + z * by_e[2]) / six
                    v = (x * by_f[0] + y * by_f[1] + z * by_f[2]) / six
                    w = (x * by_g[0] + y * by_g[1] + z * by_g[2]) / six
                    if u >= slack and v >= slack and w >= slack and u + v + w <= 1.0 - slack:
                        filled[i, j, k] = True
