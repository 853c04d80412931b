"""The nearest of many colours. Exact, and without the fifth of a second that SciPy's tree takes to load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.tasks.machine_code import run

POINTS_A_BOX = 4.0  # were they spread evenly; they fill about a quarter of the block


@dataclass(frozen=True, eq=False)
class Near:
    """Points sorted into cubic boxes; what the members hold: ``near_kernel.nearest``."""

    points: Floats
    numbers: NDArray[np.int64]
    first: NDArray[np.int64]
    low: Floats
    boxes: NDArray[np.int64]
    side: float

    @classmethod
    def of(cls, points: Floats) -> Near:
        """``points`` (n, 3), one at least, all finite."""
        low, high = points.min(axis=0), points.max(axis=0)
        size = np.maximum(high - low, max(float((high - low).max()), 1e-9) / 100)
        side = float((np.prod(size) / max(len(points) / POINTS_A_BOX, 1)) ** (1 / 3))
        boxes = np.floor((high - low) / side).astype(np.int64) + 1
        place = np.minimum(((points - low) / side).astype(np.int64), boxes - 1)
        box = (place[:, 0] * boxes[1] + place[:, 1]) * boxes[2] + place[:, 2]
        order = np.argsort(box, kind="stable")
        first = np.zeros(int(np.prod(boxes)) + 1, np.int64)
        np.cumsum(np.bincount(box, minlength=len(first) - 1), out=first[1:])
        return cls(np.ascontiguousarray(points[order]), order.astype(np.int64), first, low, boxes, side)

    def query(self, places: Floats, count: int) -> NDArray[np.int64]:
        """The numbers (m, count) of the nearest points to ``places`` (m, 3), nearest first; ``count`` is n at most."""
        out = np.empty((len(places), count), np.int64)
        held = (self.points, self.numbers, self.first, self.low, self.boxes, self.side)
        aims, room = np.ascontiguousarray(places, dtype=np.float64), np.empty(count)
        run("tackside.profile.device.near_kernel", "nearest", *held, aims, room, out)
        return out
