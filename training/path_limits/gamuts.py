"""Gamuts to send a sheet into: those of characterisation data, and invented ones that lie between two of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, KDTree

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.device.device_model import DeviceModel
from tackside.profile.gamut.gamut_solid import GamutSolid, deepest_neutral, solid_of
from tackside.reading.instrument.file import read_instrument_file

# Paper and the six solids, of CMYK.
_CORNERS = np.array(
    [(0, 0, 0, 0), (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 1, 1, 0), (1, 0, 1, 0), (1, 1, 0, 0)], float
)
# Points of a triangle of the surface, and how far apart the points are that are kept of all of them, ΔE*ab.
_PARTS = np.array([(i, j, 4 - i - j) for i in range(5) for j in range(5 - i)]) / 4
_APART = 1.5
_HALVINGS = 7


@dataclass(frozen=True, eq=False)
class Gamut:
    """All colours that a card holds, CIELAB with the paper's own white: ``solid``; and ``corners`` (8, 3).

    ``corners`` are paper, black, cyan, magenta, yellow, red, green and blue, each of full ink. Black is the deepest
    of all mixtures, chroma counting against it.
    """

    name: str
    solid: GamutSolid
    corners: Floats

    @property
    def white(self) -> Floats:
        return np.asarray(self.corners[0])

    @property
    def black(self) -> Floats:
        return np.asarray(self.corners[1])

    @cached_property
    def span(self) -> float:
        """The convex hull of the corners, cubic ΔE*ab: what the rule on device sheets looks at."""
        return float(ConvexHull(self.corners).volume)

    @cached_property
    def relative_black(self) -> Floats:
        """Black beside the paper taken for 100, 0, 0: CIELAB (3,)."""
        return xyz_to_lab(lab_to_xyz(self.black) * (WHITE_D50 / lab_to_xyz(self.white)))

    def holds(self, lab: Floats) -> NDArray[np.bool_]:
        return self.solid.holds(lab)

    @cached_property
    def surface(self) -> Floats:
        """Colours of the surface (n, 3), about _APART apart."""
        points, faces = self.solid.surface
        spread = np.einsum("pi,mij->mpj", _PARTS, points[faces]).reshape(-1, 3)
        _, first = np.unique(np.round(spread / _APART), axis=0, return_index=True)
        return np.asarray(spread[first])

    @cached_property
    def tree(self) -> KDTree:
        return KDTree(self.surface)


def characterised(path: Path) -> DeviceModel:
    """The press that a file of characterisation data describes."""
    return DeviceModel.fitted(read_instrument_file(path))


def gamut_of(name: str, to_lab: Callable[[Floats], Floats]) -> Gamut:
    """The gamut of a press of four inks."""
    solid = solid_of(to_lab, 4)
    paper, *solids = to_lab(_CORNERS)
    return Gamut(name, solid, np.array([paper, deepest_neutral(solid), *solids]))


def between(name: str, better: DeviceModel, worse: DeviceModel, span: float) -> Gamut:
    """An invented press between two, whose corners span ``span`` (cubic ΔE*ab).

    The same numbers show a colour on the straight line between what the two show. Where even the worse spans more,
    its colours are drawn towards grey, and its black towards the paper, alike.
    """

    def mixed(part: float) -> Callable[[Floats], Floats]:
        return lambda inks: (1 - part) * better.to_lab(inks) + part * worse.to_lab(inks)

    def paler(part: float) -> Callable[[Floats], Floats]:
        paper = worse.to_lab(np.zeros((1, 4)))
        return lambda inks: paper + (1 - part) * (worse.to_lab(inks) - paper)

    way = mixed if gamut_of(name, worse.to_lab).span < span else paler
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        part = (low + high) / 2
        low, high = (part, high) if gamut_of(name, way(part)).span > span else (low, part)
    return gamut_of(name, way((low + high) / 2))
