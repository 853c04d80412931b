"""Paper, black and the six solids of offset printing, out of the open characterisation data in tests/reference."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tests.colour.tables import print_data

NAMES = ("FOGRA39L", "TR003", "FOGRA29L")  # coated, coated, uncoated, as the files state
INKS = ("paper", "k", "c", "m", "y", "r", "g", "b")
_CMYK = np.array(
    [
        (0, 0, 0, 0), (0, 0, 0, 1),
        (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0),
        (0, 1, 1, 0), (1, 0, 1, 0), (1, 1, 0, 0),
    ]
)  # fmt: skip


@cache
def corners(name: str) -> NDArray[np.float64]:
    """CIELAB (8, 3) in the order of INKS; patches that a file holds twice are averaged."""
    data = print_data(f"{name}.txt")
    found = [data.lab[(data.cmyk == inks).all(axis=1)].mean(axis=0) for inks in _CMYK]
    return np.array(found)


def chroma(name: str) -> NDArray[np.float64]:
    """C*ab (6,) of the solids C, M, Y, R, G, B."""
    return np.asarray(np.hypot(corners(name)[2:, 1], corners(name)[2:, 2]))


def duller(name: str, by: float) -> NDArray[np.float64]:
    """The corners with each solid ``by`` ΔE*ab nearer to the grey axis."""
    lab = corners(name).copy()
    lab[2:, 1:] *= (1 - by / chroma(name))[:, None]
    return lab


@cache
def increase_at_half(name: str) -> NDArray[np.float64]:
    """Tone value increase (4,) at 50 % of C, M, Y and K alone, by Murray and Davies with X, Y, Z and Y."""
    data = print_data(f"{name}.txt")
    found = []
    for ink, axis in enumerate((0, 1, 2, 1)):
        alone = (np.delete(data.cmyk, ink, axis=1) == 0).all(axis=1)
        light = [
            data.xyz[alone & np.isclose(data.cmyk[:, ink], tone), axis].mean() for tone in (0.0, 0.5, 1.0)
        ]
        found.append((light[0] - light[1]) / (light[0] - light[2]) - 0.5)
    return np.array(found)
