"""Gamut volume in cubic CIELAB units, and by which method: volumes by different methods do not compare.

- ``grid_volume``: the device solid cut into tetrahedra, six to a cell, their signed volumes added. What the
  inner ones gain and lose cancels: it is the volume inside the solid's surface. Folds count against it.
- ``device_volume``: the same for scattered device values that hold a grid. For CMYK the solid is the union of
  the images of the eight facets of the device's hypercube, counted on a lattice, since facets overlap. (With
  inks whose effect does not fold back, every mixture matches one with some ink at none or full.)
- ``hull_volume``: the convex hull, where only scattered data exist. It bridges the solid's hollows and noise
  makes it grow: on the same data it is larger than the solid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.device_grid import DeviceGrid, largest_grid
from tackside.colour.solids import grid_tetrahedra, hull_volume_and_slopes, signed_volume, union_volume
from tackside.colour.spaces import Floats

RGB_METHOD = "tetrahedra of the RGB device solid"
CMYK_METHOD = "tetrahedra of the CMYK device solid, union of its facets"
HULL_METHOD = "convex hull"
LATTICE_PITCH = 1.0  # ΔE


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
