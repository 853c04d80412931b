"""Solids on a cubic lattice in CIELAB: which points lie inside, quickly, for a million colours at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats

PITCH = 1.0  # ΔE*ab between neighbouring points
MOST_POINTS = 60_000_000  # a solid that would need more is no gamut


@dataclass(frozen=True, eq=False)
class Lattice:
    """Which points of a cubic lattice lie inside a solid. Point (i, j, k) is at ``origin`` + ``pitch`` × (i, j, k).

    Origins are whole multiples of the pitch: two lattices of one pitch share their points.
    """

    filled: NDArray[np.bool_]
    origin: NDArray[np.int64]
    pitch: float

    @property
    def volume(self) -> float:
        """Points inside, each standing for a cell."""
        return float(np.count_nonzero(self.filled)) * self.pitch**3

    def holds(self, lab: ArrayLike) -> NDArray[np.bool_]:
        """Whether the nearest lattice point to each colour (..., 3) lies inside: right to half a pitch an axis."""
        colours = np.asarray(lab, dtype=np.float64)
        places = np.rint(colours / self.pitch).astype(np.int64) - self.origin
        size = np.array(self.filled.shape)
        known = np.all((places >= 0) & (places < size), axis=-1)
        places = np.clip(places, 0, size - 1)
        return np.asarray(known & self.filled[places[..., 0], places[..., 1], places[..., 2]])

    def shared(self, other: Lattice) -> float:
        """The volume that both solids hold; their pitches must be the same."""
        if self.pitch != other.pitch:
            raise ValueError("lattices of different pitch")
        low = np.maximum(self.origin, other.origin)
        high = np.minimum(self.origin + self.filled.shape, other.origin + other.filled.shape)
        if np.any(high <= low):
            return 0.0
        here, there = (
            each.filled[
                tuple(slice(a, b) for a, b in zip(low - each.origin, high - each.origin, strict=True))
            ]
            for each in (self, other)
        )
        return float(np.count_nonzero(here & there)) * self.pitch**3

    def points(self) -> Floats:
        """The colours (n, 3) of the points inside."""
        return np.asarray((np.argwhere(self.filled) + self.origin) * self.pitch)


def fill(tetrahedra: list[Floats], pitch: float = PITCH) -> Lattice:
    """The lattice of the union of tetrahedra, each list (m, 4, 3) CIELAB."""
    from tackside.profile.gamut.lattice_kernel import mark_inside  # numba takes its time to load

    corners = np.concatenate(tetrahedra) / pitch
    low = np.floor(corners.min(axis=(0, 1))).astype(np.int64) - 1
    size = np.ceil(corners.max(axis=(0, 1))).astype(np.int64) + 2 - low
    if np.prod(size.astype(float)) > MOST_POINTS:
        raise ValueError("the colours of this solid lie too far apart")
    filled = np.zeros(tuple(int(edge) for edge in size), dtype=np.bool_)
    mark_inside(np.ascontiguousarray(corners - low), filled)
    return Lattice(filled, low, pitch)
