"""The solid of colours that a device holds: its surface, its volume, what it covers, what falls outside.

The solid is the device's cube sampled on a grid and cut into tetrahedra (``colour.gamut``); for four inks it is
the union of the cube's eight facets. The volume is exact for three channels; whatever needs "inside or outside"
is counted on a lattice (``profile.gamut.lattice``), whose error is stated beside each share.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.difference import delta_e_2000
from tackside.colour.gamut import CMYK_METHOD, RGB_METHOD, grid_tetrahedra, grid_volume
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.gamut.lattice import PITCH, Lattice, fill

RGB_NODES = 33
FACET_NODES = 13
ON_THE_SURFACE = 1.0  # ΔE*ab: what the lattice and the samples of the surface may err by together


@dataclass(frozen=True)
class Share:
    """A share of a volume, 0 to 1, and one standard uncertainty from counting it on the lattice."""

    share: float
    sd: float


@dataclass(frozen=True)
class Outside:
    """What part of some colours falls outside a solid, and how far: ΔE00 to the nearest colour on its surface.

    ``median`` and ``p95`` are over the outside colours alone, None where there are none.
    """

    share: float
    median: float | None
    p95: float | None


@dataclass(frozen=True, eq=False)
class GamutSolid:
    """``grids``: CIELAB on the device's cube (a, b, c, 3), one for three channels, the facets for four."""

    grids: tuple[Floats, ...]

    @property
    def method(self) -> str:
        return RGB_METHOD if len(self.grids) == 1 else CMYK_METHOD

    @cached_property
    def lattice(self) -> Lattice:
        """The solid on points PITCH apart."""
        return fill([grid.reshape(-1, 3)[grid_tetrahedra(grid.shape[:3])] for grid in self.grids], PITCH)

    @cached_property
    def volume(self) -> float:
        """Cubic CIELAB units: inside the surface for three channels, counted on the lattice for four."""
        return grid_volume(self.grids[0]) if len(self.grids) == 1 else self.lattice.volume

    def holds(self, lab: ArrayLike) -> NDArray[np.bool_]:
        """Whether colours (..., 3) lie inside, right to about half a ΔE of the surface."""
        return self.lattice.holds(lab)

    def covers(self, other: GamutSolid) -> Share:
        """What part of the other solid's volume this one holds.

        The uncertainty takes each lattice point beside either surface as one throw of a coin: it is right to
        the order, and far below what the measurements themselves carry.
        """
        whole = other.lattice.volume
        if whole <= 0:
            return Share(0.0, 0.0)
        edge = (_edge_points(self.lattice) + _edge_points(other.lattice)) * PITCH**3
        return Share(self.lattice.shared(other.lattice) / whole, float(np.sqrt(edge * PITCH**3 / 12)) / whole)

    @cached_property
    def surface(self) -> tuple[Floats, NDArray[np.intp]]:
        """Vertices (n, 3) CIELAB and triangles (m, 3) of the boundary.

        For four inks, the faces of the facets that have free space on one side at least.
        """
        vertices, triangles, first = [], [], 0
        for grid in self.grids:
            for face in _faces(grid):
                vertices.append(face.reshape(-1, 3))
                triangles.append(_face_triangles(face.shape[:2]) + first)
                first += len(vertices[-1])
        points, faces = np.concatenate(vertices), np.concatenate(triangles)
        if len(self.grids) > 1:
            faces = faces[self._faces_outwards(points[faces])]
        return points, faces

    def _faces_outwards(self, corners: Floats) -> NDArray[np.bool_]:
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        length = np.linalg.norm(normal, axis=1)
        way = normal / np.maximum(length, 1e-12)[:, None] * 1.5 * PITCH
        middle = corners.mean(axis=1)
        return np.asarray((length > 1e-9) & ~(self.holds(middle + way) & self.holds(middle - way)))

    @cached_property
    def _surface_tree(self) -> tuple[Any, Floats]:
        from scipy.spatial import KDTree  # slow to import: kept off the start-up path

        points, faces = self.surface
        corners = points[faces]
        # Fifteen points a triangle: on a grid of 33 the widest triangle's are about 1 ΔE apart.
        parts = np.array([(i, j, 4 - i - j) for i in range(5) for j in range(5 - i)]) / 4
        samples = np.unique(np.einsum("pi,mij->mpj", parts, corners).reshape(-1, 3).round(2), axis=0)
        return KDTree(samples), samples

    def outside(self, lab: ArrayLike, counts: ArrayLike | None = None) -> Outside:
        """What falls outside of colours (n, 3), each ``counts`` (n,) times (by default once), and how far.

        A colour is outside where it is so on the lattice and more than ON_THE_SURFACE from the surface. The nearest
        colour is sought by ΔE*ab among points of the surface; its ΔE00 is what is given.
        """
        colours = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
        weights = np.ones(len(colours)) if counts is None else np.asarray(counts, dtype=np.float64)
        total = float(weights.sum())
        rows, near = self._beyond(colours)
        if total <= 0 or len(rows) == 0:
            return Outside(0.0, None, None)
        far = delta_e_2000(colours[rows], near)
        order = np.argsort(far)
        reached = np.cumsum(weights[rows][order])
        median, p95 = (
            float(far[order][np.searchsorted(reached, part * reached[-1])]) for part in (0.5, 0.95)
        )
        return Outside(float(reached[-1]) / total, median, p95)

    def lies_outside(self, lab: ArrayLike) -> NDArray[np.bool_]:
        """Which of colours (n, 3) ``outside`` counts, (n,)."""
        colours = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
        found = np.zeros(len(colours), dtype=bool)
        found[self._beyond(colours)[0]] = True
        return found

    def _beyond(self, colours: Floats) -> tuple[NDArray[np.intp], Floats]:
        """The rows of colours that are outside, and the colour on the surface nearest to each of them."""
        rows = np.flatnonzero(~self.holds(colours))
        if len(rows) == 0:
            return rows, np.zeros((0, 3))
        tree, samples = self._surface_tree
        distance, near = tree.query(colours[rows])
        away = distance > ON_THE_SURFACE
        return rows[away], samples[near[away]]

    def relative(self, white_lab: ArrayLike) -> GamutSolid:
        """The same solid seen beside its own white, which becomes L* 100 (ISO 15076-1, media-relative)."""
        white = lab_to_xyz(white_lab)
        neutral = lab_to_xyz([100.0, 0.0, 0.0])
        return GamutSolid(tuple(xyz_to_lab(lab_to_xyz(grid) * (neutral / white)) for grid in self.grids))


def solid_of(to_lab: Callable[[Floats], Floats], channels: int) -> GamutSolid:
    """The solid of a device of three or four channels; ``to_lab`` takes device values (n, channels), 0 to 1."""
    if channels == 3:
        return GamutSolid((_sampled(to_lab, RGB_NODES, None, 0.0, 3),))
    if channels != 4:
        raise ValueError(f"a device of {channels} channels")
    return GamutSolid(
        tuple(_sampled(to_lab, FACET_NODES, ink, level, 4) for ink, level in product(range(4), (0.0, 1.0)))
    )


def deepest_neutral(solid: GamutSolid) -> Floats:
    """The darkest of a solid's sampled colours (3,), chroma counting against it: the black of a set of inks."""
    colours = np.concatenate([grid.reshape(-1, 3) for grid in solid.grids])
    return np.asarray(colours[np.argmin(np.linalg.norm(colours, axis=1))])


def _sampled(
    to_lab: Callable[[Floats], Floats], nodes: int, held: int | None, level: float, channels: int
) -> Floats:
    axis = np.linspace(0, 1, nodes)
    device = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    if held is not None:
        device = np.insert(device, held, level, axis=1)
    return np.asarray(to_lab(device)).reshape(nodes, nodes, nodes, 3)


def _faces(grid: Floats) -> list[Floats]:
    return [np.take(grid, end, axis=axis) for axis in range(3) for end in (0, -1)]


def _face_triangles(shape: tuple[int, ...]) -> NDArray[np.intp]:
    """Two triangles a cell, (m, 3), along the diagonal that ``grid_tetrahedra`` has there."""
    numbers = np.arange(shape[0] * shape[1]).reshape(shape)
    a, b, c, d = (
        part.ravel() for part in (numbers[:-1, :-1], numbers[1:, :-1], numbers[:-1, 1:], numbers[1:, 1:])
    )
    return np.concatenate([np.stack([a, b, d], axis=1), np.stack([a, d, c], axis=1)])


def _edge_points(lattice: Lattice) -> int:
    """Points inside with a neighbour outside."""
    filled = lattice.filled
    inner = filled[1:-1, 1:-1, 1:-1].copy()
    for axis in range(3):
        for shift in (slice(None, -2), slice(2, None)):
            there = [slice(1, -1)] * 3
            there[axis] = shift
            inner &= filled[tuple(there)]
    return int(np.count_nonzero(filled) - np.count_nonzero(inner))
