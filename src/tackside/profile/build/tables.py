"""From the fitted surface to the tables: device numbers to colours, and the nearest numbers for each colour."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats, lab_to_xyz
from tackside.profile.build.lut import MARGIN, NODES, Coding, even_nodes
from tackside.profile.device.inverse import DeviceTable, difference_axes
from tackside.profile.icc import tetra
from tackside.profile.icc.inspect import to_media_relative

EXACT = 1e-3  # ΔE*ab
NEAR_MISS, MORE_STARTS = 5.0, 8
HELD = 0.05  # ΔE*ab: a colour that comes back as near as this lies inside the gamut
SAMPLES, NEAR_THE_SURFACE = 60_000, 0.25
CARE = 0.3  # how strongly a node beyond the gamut is held where the nearest colour put it
ROUNDS = 300
LEAST_STEP = 0.02  # L* between neighbouring greys of the table, where readings would have it fall
GREY_REACH = 0.15  # how far from the grey axis, in device numbers, greys that are set right take others along


@dataclass(frozen=True, eq=False)
class Forward:
    """Device numbers to colours. ``lab`` (n, n, n, 3), n being NODES: media-relative CIELAB; ``white_xyz`` (3,): paper.

    ``straightened``: by how much, in L*, the grey ramp was changed at most to fall nowhere.
    """

    lab: Floats
    white_xyz: Floats
    straightened: float

    def at(self, device: Floats) -> Floats:
        """Media-relative CIELAB (n, 3) of device numbers (n, 3), as the table has it."""
        return tetra.between(self.lab, device)

    @cached_property
    def table(self) -> DeviceTable:
        return DeviceTable(self.lab, whole_way=True)

    def nearest(self, lab: Floats) -> Floats:
        """Device numbers (n, 3) of the nearest colours to media-relative ``lab`` (n, 3).

        Nearest by CIE94's differences added up along the way, hue counted double (``device.inverse``); exact where the
        printer holds the colour.
        """
        out = self.table.nearest(lab)
        found = self._taken_where_exact(lab, out, out)
        # Where colours fold back on themselves, a search may end beside the fold: others begin from nodes around.
        missed = np.flatnonzero(~found & (self._off(out, lab) < NEAR_MISS))
        if len(missed):
            _, around = self._nodes_tree.query(lab[missed], k=MORE_STARTS)
            places = even_nodes(3)
            for start in range(MORE_STARTS):
                part = out[missed]
                self._taken_where_exact(lab[missed], places[around[:, start]], part)
                out[missed] = part
        return out

    def _taken_where_exact(self, lab: Floats, start: Floats, out: Floats) -> NDArray[np.bool_]:
        """Search from ``start``; what hits ``lab`` goes to ``out``. Which rows did."""
        moved = tetra.back(self.lab, lab, start)
        hit = self._off(moved, lab) < EXACT
        out[hit] = moved[hit]
        return np.asarray(hit)

    def _off(self, device: Floats, lab: Floats) -> Floats:
        return np.asarray(np.linalg.norm(self.at(device) - lab, axis=1))

    @cached_property
    def _nodes_tree(self) -> Any:
        from scipy.spatial import KDTree  # slow to import: kept off the start-up path

        return KDTree(self.lab.reshape(-1, 3))


def forward_table(to_lab: Callable[[Floats], Floats]) -> Forward:
    """The table of a printer whose RGB numbers (n, 3) become ``to_lab``, CIELAB (n, 3) with the paper in it."""
    absolute = to_lab(even_nodes(3)).reshape(NODES, NODES, NODES, 3)
    white = lab_to_xyz(absolute[-1, -1, -1])
    relative = to_media_relative(absolute, white)
    relative[-1, -1, -1] = [100.0, 0.0, 0.0]
    straightened, most = straight_greys(relative)
    return Forward(straightened, white, most)


def straight_greys(lab: Floats) -> tuple[Floats, float]:
    """A table (n, n, n, 3) whose greys of equal numbers rise all the way, and the most by which its L* was changed."""
    numbers = np.arange(lab.shape[0])
    greys = lab[numbers, numbers, numbers, 0]
    # None is lighter than the paper, which stays as it is.
    rising = _rising(np.minimum(greys, greys[-1] - LEAST_STEP * numbers[::-1]))
    change = rising - greys
    if np.abs(change).max() < 1e-9:
        return lab, 0.0
    device = even_nodes(3, len(numbers)).reshape(lab.shape)
    level = device.mean(axis=-1)
    near = np.exp(-(((device.max(axis=-1) - device.min(axis=-1)) / GREY_REACH) ** 2))
    out = lab.copy()
    out[..., 0] += near * np.interp(level, numbers / numbers[-1], change)
    return out, float(np.abs(change).max())


def _rising(values: Floats) -> Floats:
    """The nearest series that rises by LEAST_STEP a step: those that fall take their mean (isotonic regression)."""
    steps = LEAST_STEP * np.arange(len(values))
    pools: list[list[float]] = []
    for value in values - steps:
        pools.append([float(value), 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (low, few), (high, many) = pools.pop(), pools.pop()
            pools.append([(low * few + high * many) / (few + many), few + many])
    level = np.repeat([mean for mean, _ in pools], [int(count) for _, count in pools])
    return np.asarray(level + steps)


def inverse_table(forward: Forward, coding: Coding) -> tuple[Floats, Floats]:
    """Device numbers (NODES³, 3) at the nodes of CIELAB, and how far off (ΔE*ab) the printer's nearest colour is there.

    Exact at each node that the printer holds. A node beyond is part of cells that reach into the gamut; what is
    stored there, up to MARGIN beyond 0 and 1, is chosen so that these cells come out right inside it, by least squares.
    """
    wanted = coding.nodes()
    device = forward.nearest(wanted)
    away = np.linalg.norm(forward.at(device) - wanted, axis=1)
    return _fitted_beyond(forward, coding, device, away > HELD), away


def _fitted_beyond(forward: Forward, coding: Coding, device: Floats, beyond: NDArray[np.bool_]) -> Floats:
    """Nodes ``beyond`` the gamut changed, by accelerated projected gradients, so that colours inside come back."""
    samples = _samples()
    lab = forward.at(samples)
    numbers, parts = tetra.corners(coding.places(lab), NODES)
    touched = np.any(beyond[numbers] & (parts > 1e-6), axis=1)
    samples, numbers, parts, lab = samples[touched], numbers[touched], parts[touched], lab[touched]
    if len(samples) == 0:
        return device
    from scipy import sparse  # slow to import: kept off the start-up path

    rows = np.repeat(np.arange(len(samples)), numbers.shape[1])
    shares = sparse.csr_matrix((parts.ravel(), (rows, numbers.ravel())), shape=(len(samples), len(device)))
    free = np.unique(numbers[beyond[numbers]])
    start, moving = device[free], shares[:, free].tocsr()
    goal = samples - (shares @ device - moving @ start)
    weights = _felt(forward, samples, lab)

    def slope(values: Floats) -> Floats:
        off = moving @ values - goal
        pull = moving.T @ np.einsum("mij,mj->mi", weights, off)
        return np.asarray(pull + CARE * (values - start))

    steepest = float((moving.T @ np.linalg.eigvalsh(weights)[:, -1]).max()) + CARE
    values, ahead, pace = start, start, 1.0
    for _ in range(ROUNDS):
        moved = np.clip(ahead - slope(ahead) / steepest, -MARGIN, 1 + MARGIN)
        faster = (1 + np.sqrt(1 + 4 * pace * pace)) / 2
        ahead = moved + (pace - 1) / faster * (moved - values)
        values, pace = moved, faster
    out = device.copy()
    out[free] = values
    return out


def _samples() -> Floats:
    """Device numbers all over the cube, most of them near its faces."""
    random = np.random.default_rng(77)
    samples = random.random((SAMPLES, 3))
    rows = np.arange(2 * SAMPLES // 3)
    depth = NEAR_THE_SURFACE * random.random(len(rows)) ** 2
    samples[rows, random.integers(0, 3, len(rows))] = np.where(
        random.random(len(rows)) < 0.5, depth, 1 - depth
    )
    return samples


def _felt(forward: Forward, device: Floats, lab: Floats) -> Floats:
    """What a step in device numbers is felt as: matrices (n, 3, 3) of the squared weighted difference in colour."""
    step = 1e-3
    slopes = np.empty((len(device), 3, 3))
    for channel in range(3):
        low, high = device.copy(), device.copy()
        low[:, channel] = np.maximum(device[:, channel] - step, 0)
        high[:, channel] = np.minimum(device[:, channel] + step, 1)
        width = high[:, channel] - low[:, channel]
        slopes[:, :, channel] = (forward.at(high) - forward.at(low)) / width[:, None]
    felt = difference_axes(lab) @ slopes
    return np.asarray(np.einsum("mij,mik->mjk", felt, felt))
