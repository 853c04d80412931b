"""A sheet of card folded in space, apart from the code under test: every panel a rigid plate, turned about its creases.

Axes: x to the right and y upwards on the outside face as fed, z out of it; lengths in mm. A pose is a (4, 4) matrix
from the open sheet to where the panel has come to lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.records import Crease
from tackside.units import Box

Array = NDArray[np.float64]

# A little short of shut, so that the layers lie one behind the other.
SHUT_DEG = 179.9


@dataclass(frozen=True)
class Plate:
    """A panel where it lies: middle, the way its outside looks, and its own right and up as seen on the outside."""

    middle: Array
    outside: Array
    right: Array
    up: Array

    def looks(self, side: str) -> Array:
        """The way that a face looks."""
        return self.outside if side == "front" else -self.outside

    def up_of_contents(self, side: str, turn_deg: int) -> Array:
        """Where the heads of contents point that are turned clockwise on a face; the inside is mirrored."""
        right = self.right if side == "front" else -self.right
        turn = np.radians(turn_deg)
        return np.asarray(np.sin(turn) * right + np.cos(turn) * self.up)


def strip(
    size: tuple[float, float],
    creases: Sequence[Crease],
    fixed: int,
    angles: Sequence[float],
    start: Array | None = None,
) -> list[Array]:
    """Poses of the panels of parallel creases, from the left or the top; panel ``fixed`` has the pose ``start``.

    ``angles`` are in degrees, one for each crease, 0 open to 180 shut.
    """
    ordered = sorted(creases, key=lambda crease: crease.at_mm)
    hinges = [_hinge(size, crease, angle) for crease, angle in zip(ordered, angles, strict=True)]
    poses: list[Array] = [np.eye(4)] * (len(ordered) + 1)
    poses[fixed] = np.eye(4) if start is None else start
    for index in range(fixed + 1, len(poses)):
        poses[index] = poses[index - 1] @ hinges[index - 1][1]
    for index in range(fixed - 1, -1, -1):
        poses[index] = poses[index + 1] @ hinges[index][0]
    return poses


def _hinge(size: tuple[float, float], crease: Crease, angle: float) -> tuple[Array, Array]:
    """The turn of what lies before the crease, and of what lies behind it. Folding in is away from the reader."""
    theta = np.radians(angle if crease.folds == "in" else -angle)
    if crease.direction == "vertical":
        at = np.array([crease.at_mm, 0.0, 0.0])
        return _about(at, "y", -theta), _about(at, "y", theta)
    at = np.array([0.0, size[1] - crease.at_mm, 0.0])
    return _about(at, "x", -theta), _about(at, "x", theta)


def _about(at: Array, axis: str, angle: float) -> Array:
    c, s = np.cos(angle), np.sin(angle)
    turn = np.eye(4)
    turn[:3, :3] = [[c, 0, s], [0, 1, 0], [-s, 0, c]] if axis == "y" else [[1, 0, 0], [0, c, -s], [0, s, c]]
    there, back = np.eye(4), np.eye(4)
    there[:3, 3], back[:3, 3] = at, -at
    return np.asarray(there @ turn @ back)


def plate(size: tuple[float, float], trim: Box, pose: Array) -> Plate:
    """A panel, given by its box on the outside face, in a pose."""
    x, y = trim.centre
    middle = pose @ np.array([x, size[1] - y, 0.0, 1.0])
    return Plate(middle[:3], pose[:3, 2], pose[:3, 0], pose[:3, 1])
