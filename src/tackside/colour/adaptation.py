"""Chromatic adaptation: what a colour under one white becomes under another (linear Bradford).

Source: ISO 15076-1, annex E (the matrix E.1 and the scaling of the cone-like responses).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import Floats

BRADFORD: Floats = np.array(
    [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ]
)
BRADFORD.flags.writeable = False


def bradford_matrix(from_white: ArrayLike, to_white: ArrayLike) -> Floats:
    """The 3 × 3 matrix that takes XYZ under ``from_white`` to XYZ under ``to_white`` (both XYZ, Y = 1)."""
    source = BRADFORD @ np.asarray(from_white, dtype=np.float64)
    destination = BRADFORD @ np.asarray(to_white, dtype=np.float64)
    return np.asarray(np.linalg.solve(BRADFORD, np.diag(destination / source) @ BRADFORD))


def adapt(xyz: ArrayLike, from_white: ArrayLike, to_white: ArrayLike) -> Floats:
    """``xyz`` (..., 3) seen under ``from_white``, as its corresponding colour under ``to_white``."""
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ bradford_matrix(from_white, to_white).T)
