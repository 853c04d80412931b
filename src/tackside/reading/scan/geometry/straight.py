"""The straight line of least squares through points, by its closed form: a general solver takes many times as long for
the few dozen points of an edge, and a sheet has hundreds of edges.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import Floats


def straight_line(x: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
    """Offsets (...) at x = 0 and slopes (...) of the lines through ``y`` (..., n) at ``x`` (n,); level where all places
    are one."""
    places, values = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    middle = places.mean()
    off = places - middle
    slope = np.asarray(values @ off / (off @ off or 1.0))
    return np.asarray(values.mean(axis=-1) - slope * middle), slope
