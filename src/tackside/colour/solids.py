"""Volumes of solids made of tetrahedra, and of convex hulls, each with its slope by every point.

The slopes (the derivative of the volume by each point's coordinates) carry noise on the points to the volume.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats

LARGEST_LATTICE = 8_000_000.0  # points; a real gamut takes about 4 million at 1 ΔE

EVEN_ORDERS = {(0, 1, 2), (1, 2, 0), (2, 0, 1)}

Indices = NDArray[np.intp]


def grid_tetrahedra(shape: tuple[int, ...]) -> Indices:
    """Vertex numbers (m, 4) of six tetrahedra a cell of a grid of ``shape`` (a, b, c), of one handedness.

    The Kuhn decomposition: each goes from the cell's first corner to its last along the axes in one order.
    """
    numbers = np.arange(int(np.prod(shape))).reshape(shape)
    parts = []
    for order in permutations(range(3)):
        corner = [0, 0, 0]
        path = [_corner(numbers, corner)]
        for axis in order:
            corner[axis] = 1
            path.append(_corner(numbers, corner))
        if order not in EVEN_ORDERS:  # mirrored: swap two vertices
            path[2], path[3] = path[3], path[2]
        parts.append(np.stack(path, axis=1))
    return np.concatenate(parts)


def _corner(numbers: Indices, corner: list[int]) -> Indices:
    """The number of one corner, for every cell."""
    return numbers[tuple(slice(at, numbers.shape[axis] - 1 + at) for axis, at in enumerate(corner))].ravel()


def signed_volume(points: Floats, tetrahedra: Indices) -> tuple[float, Floats]:
    """The sum of det(b − a, c − a, d − a) / 6, and its derivative by each point, shape of ``points``."""
    a, b, c, d = (points[tetrahedra[:, corner]] for corner in range(4))
    by_b, by_c, by_d = np.cross(c - a, d - a) / 6, np.cross(d - a, b - a) / 6, np.cross(b - a, c - a) / 6
    volume = float(np.sum(by_b * (b - a)))
    slopes = np.zeros_like(points)
    for corner, slope in enumerate((-(by_b + by_c + by_d), by_b, by_c, by_d)):
        np.add.at(slopes, tetrahedra[:, corner], slope)
    return volume, slopes


def hull_volume_and_slopes(points: Floats) -> tuple[float, Floats]:
    """Volume of the convex hull and its derivative by each point."""
    from scipy.spatial import ConvexHull, QhullError  # slow to import: kept off the start-up path

    if len(points) < 4:
        return 0.0, np.zeros_like(points)
    try:
        hull = ConvexHull(points)
    except QhullError:  # all in one plane
        return 0.0, np.zeros_like(points)
    faces = hull.simplices
    normals = np.cross(points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]])
    outward = np.sign(np.sum(normals * hull.equations[:, :3], axis=1))
    # A corner that moves sweeps a third of each face's area along its normal: area × n / 3 = cross / 6.
    slopes = np.zeros_like(points)
    for corner in range(3):
        np.add.at(slopes, faces[:, corner], outward[:, None] * normals / 6)
    return float(hull.volume), slopes


def hull_planes(points: Floats) -> Floats | None:
    """The faces of the convex hull, (m, 4): a point x lies inside where n · x + d ≤ 0 for all; None for a flat hull."""
    from scipy.spatial import ConvexHull, QhullError  # slow to import: kept off the start-up path

    if len(points) < 4:
        return None
    try:
        return np.asarray(ConvexHull(points).equations)
    except QhullError:  # all in one plane
        return None


def union_volume(solids: list[Floats], pitch: float) -> float:
    """The volume of the union of tetrahedra, each list (m, 4, 3), by counting the points of a cubic lattice.

    The lattice is ``pitch`` wide, or as wide as LARGEST_LATTICE points take where the colours lie far apart.
    """
    corners = np.concatenate(solids)
    room = float(np.prod(np.ptp(corners, axis=(0, 1))))
    pitch = max(pitch, (room / LARGEST_LATTICE) ** (1 / 3))
    corners = corners / pitch
    low = np.floor(corners.min(axis=(0, 1)))
    corners = corners - low
    filled = np.zeros(tuple((np.ceil(corners.max(axis=(0, 1))) + 1).astype(int)), dtype=bool)
    first, last = np.ceil(corners.min(axis=1)).astype(int), np.floor(corners.max(axis=1)).astype(int) + 1
    edges = corners[:, 1:] - corners[:, :1]
    solid = np.abs(np.linalg.det(edges)) > 1e-9
    inverse = np.linalg.inv(edges[solid])
    for corner, to_weights, start, stop in zip(
        corners[solid, 0], inverse, first[solid], last[solid], strict=True
    ):
        box = tuple(slice(a, b) for a, b in zip(start, stop, strict=True))
        # The barycentric weights of lattice points are sums of one term for each axis.
        x, y, z = (
            (np.arange(start[axis], stop[axis]) - corner[axis])[:, None] * to_weights[axis]
            for axis in range(3)
        )
        weights = x[:, None, None] + y[None, :, None] + z[None, None, :]
        filled[box] |= (weights >= 0).all(axis=-1) & (weights.sum(axis=-1) <= 1)
    return float(np.count_nonzero(filled)) * pitch**3
