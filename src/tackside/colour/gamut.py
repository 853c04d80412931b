"""Gamut volume in cubic CIELAB units, and by which method: volumes by different methods do not compare.

- ``grid_volume``: the device solid cut into tetrahedra, six to a cell, their signed volumes added. What the
  inner ones gain and lose cancels: it is the volume inside the solid's surface. Folds count against it.
- ``device_volume``: the same for scattered device values that hold a grid: ``largest_grid`` finds the cube among
  ramps, greys and repeats. For CMYK the solid is the union of the images of the eight facets of the device's
  hypercube, counted on a lattice, since facets overlap. (With inks whose effect does not fold back, every mixture
  matches one with some ink at none or full.)
- ``hull_volume``: the convex hull, where only scattered data exist. It bridges the solid's hollows and noise
  makes it grow: on the same data it is larger than the solid.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.hull import hull_volume_and_slopes
from tackside.colour.spaces import Floats

RGB_METHOD = "tetrahedra of the RGB device solid"
CMYK_METHOD = "tetrahedra of the CMYK device solid, union of its facets"
HULL_METHOD = "convex hull"
LATTICE_PITCH = 1.0  # ΔE
LARGEST_LATTICE = 8_000_000.0  # points; a real gamut takes about 4 million at 1 ΔE

EVEN_ORDERS = {(0, 1, 2), (1, 2, 0), (2, 0, 1)}

Indices = NDArray[np.intp]


@dataclass(frozen=True)
class GamutVolume:
    """A volume in cubic CIELAB units, its method, one standard uncertainty from noise (None: not known)."""

    volume: float
    method: str
    sd: float | None = None


def gamut_volume(device: ArrayLike | None, lab: ArrayLike, *, noise_sd: float | None = None) -> GamutVolume:
    """The volume by the best method that the data allow.

    ``device`` (n, 3) RGB or (n, 4) CMYK, 0 to 1, or None; ``lab`` (n, 3). ``noise_sd`` is the standard
    deviation of each Lab coordinate of a patch, taken as independent from patch to patch: ``sd`` is its
    first-order propagation, and is not given for CMYK. Errors that all patches share are not in it.
    """
    colours = np.asarray(lab, dtype=np.float64)
    values = None if device is None else np.asarray(device, dtype=np.float64)
    if values is not None and values.ndim == 2 and values.shape[1] == 3:
        grid = largest_grid(values, colours)
        if grid is not None:
            volume, slopes = signed_volume(grid.lab.reshape(-1, 3), grid_tetrahedra(grid.lab.shape[:3]))
            return GamutVolume(abs(volume), RGB_METHOD, _propagated(slopes, noise_sd))
    if values is not None and values.ndim == 2 and values.shape[1] == 4:
        union = device_volume(values, colours)
        if union is not None:
            return GamutVolume(union, CMYK_METHOD)
    volume, slopes = hull_volume_and_slopes(colours)
    return GamutVolume(volume, HULL_METHOD, _propagated(slopes, noise_sd))


def grid_volume(lab_grid: ArrayLike) -> float:
    """The volume inside a device solid given as a full grid of colours (a, b, c, 3), each 2 or more."""
    grid = np.asarray(lab_grid, dtype=np.float64)
    volume, _ = signed_volume(grid.reshape(-1, 3), grid_tetrahedra(grid.shape[:3]))
    return abs(volume)


def device_volume(device: ArrayLike, lab: ArrayLike) -> float | None:
    """The volume of the solid of scattered RGB (n, 3) or CMYK (n, 4), 0 to 1; None without a usable grid."""
    values, colours = np.asarray(device, dtype=np.float64), np.asarray(lab, dtype=np.float64)
    if values.ndim != 2 or len(values) != len(colours):
        return None
    if values.shape[1] == 3:
        grid = largest_grid(values, colours)
        return None if grid is None else grid_volume(grid.lab)
    if values.shape[1] != 4:
        return None
    grids = cmyk_facets(values, colours)
    return None if grids is None else union_volume([_tetrahedra_of(grid) for grid in grids], LATTICE_PITCH)


def hull_volume(lab: ArrayLike) -> float:
    """The volume of the convex hull of colours (n, 3); 0 where they span no solid."""
    return hull_volume_and_slopes(np.asarray(lab, dtype=np.float64))[0]


def _propagated(slopes: Floats, noise_sd: float | None) -> float | None:
    return None if noise_sd is None else float(noise_sd * np.sqrt(np.sum(slopes**2)))


def cmyk_facets(device: Floats, lab: Floats) -> list[DeviceGrid] | None:
    """The grids on the facets of the CMYK hypercube (one ink at 0 or 1), if there is one of CMY at K = 0.

    A facet with no grid of its own is left out: the union is then a lower bound, usually by little, since
    facets overlap.
    """
    base: DeviceGrid | None = None
    grids = []
    for ink in range(4):
        others = [axis for axis in range(4) if axis != ink]
        for level in (0.0, 1.0):
            on_facet = np.abs(device[:, ink] - level) < 1e-4
            grid = largest_grid(device[on_facet][:, others], lab[on_facet], fewest_levels=2)
            if grid is None:
                continue
            grids.append(grid)
            if ink == 3 and level == 0.0:
                base = grid
    if base is None or min(base.lab.shape[:3]) < 3:
        return None
    return grids


def _tetrahedra_of(grid: DeviceGrid) -> Floats:
    """The corners (m, 4, 3) of a grid's tetrahedra."""
    return np.asarray(grid.lab.reshape(-1, 3)[grid_tetrahedra(grid.lab.shape[:3])])


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


SAME_LEVEL_DECIMALS = 4  # finer than the 8-bit step, coarser than the rounding of a text file


class DeviceGrid(NamedTuple):
    """Every combination of the levels on three device axes, with its colour.

    ``levels``: three rising arrays that begin with 0 and end with 1; ``lab``: shape (a, b, c, 3).
    """

    levels: tuple[Floats, Floats, Floats]
    lab: Floats


def largest_grid(device: ArrayLike, lab: ArrayLike, *, fewest_levels: int = 3) -> DeviceGrid | None:
    """The grid inside device values (n, 3), 0 to 1, with colours (n, 3); None where there is none.

    The level whose slice lacks the largest share of its combinations is dropped, again and again, until all
    combinations are there; 0 and 1 always stay, so the grid spans the whole solid. Repeats are averaged. The
    search is greedy: it finds a cube that was printed, it does not promise the largest among odd leftovers.
    """
    values: Floats = np.asarray(device, dtype=np.float64).round(SAME_LEVEL_DECIMALS)
    if values.ndim != 2 or values.shape[1] != 3 or len(values) == 0:
        return None
    places, colours = _average_repeats(values, np.asarray(lab, dtype=np.float64))
    found = [np.unique(places[:, axis], return_inverse=True) for axis in range(3)]
    levels = [each[0] for each in found]
    if any(each[0] != 0 or each[-1] != 1 for each in levels):
        return None
    index = np.stack([each[1].reshape(-1) for each in found], axis=1)
    kept = _complete_levels(index, [len(each) for each in levels])
    if any(mask.sum() < fewest_levels for mask in kept):
        return None
    inside = np.all([kept[axis][index[:, axis]] for axis in range(3)], axis=0)
    shape = tuple(int(mask.sum()) for mask in kept)
    # np.unique sorts rows by red, then green, then blue: the order of a C-shaped array.
    first, second, third = (levels[axis][kept[axis]] for axis in range(3))
    return DeviceGrid((first, second, third), colours[inside].reshape(*shape, 3))


def _average_repeats(device: Floats, lab: Floats) -> tuple[Floats, Floats]:
    """Unique rows of ``device``, sorted, and the mean colour of each."""
    unique, member = np.unique(device, axis=0, return_inverse=True)
    member = member.reshape(-1)
    counts = np.bincount(member, minlength=len(unique))
    sums = np.stack([np.bincount(member, lab[:, axis], len(unique)) for axis in range(3)], axis=1)
    return unique, sums / counts[:, None]


def _complete_levels(index: NDArray[np.intp], sizes: list[int]) -> list[NDArray[np.bool_]]:
    """Which levels of each axis stay, so that every combination of them occurs in ``index`` (n, 3)."""
    kept = [np.ones(size, dtype=bool) for size in sizes]
    points = index
    while True:
        counts = [int(mask.sum()) for mask in kept]
        if len(points) == counts[0] * counts[1] * counts[2]:
            return kept
        worst_share, worst = 1.0, (-1, -1)
        for axis in range(3):
            others = counts[(axis + 1) % 3] * counts[(axis + 2) % 3]
            shares = np.bincount(points[:, axis], minlength=sizes[axis]) / others
            shares[~kept[axis]] = np.inf
            shares[[0, -1]] = np.inf
            level = int(np.argmin(shares))
            if shares[level] < worst_share:
                worst_share, worst = float(shares[level]), (axis, level)
        if worst[0] < 0:  # only the ends are left and even their corners are not all there
            return [np.zeros(size, dtype=bool) for size in sizes]
        axis, level = worst
        kept[axis][level] = False
        points = points[points[:, axis] != level]
