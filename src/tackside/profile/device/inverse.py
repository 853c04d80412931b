"""From a colour back to device numbers: the nearest colour that the device holds, found on a table.

Inside the gamut the nearest colour is the colour itself. Outside, "nearest" weighs the differences in lightness,
chroma and hue as CIE94 does (CIE 116-1995: 1, 1 + 0.045 C*, 1 + 0.015 C*), with hue counted HUE_CARE times, so
that a colour is clipped to the gamut's surface along its hue: a shift of hue is seen as a wrong colour, a loss
of chroma as a weaker one. For four inks there are many ways to one colour: black is taken where it serves.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats
from tackside.profile.device.near import Near
from tackside.tasks.machine_code import run

HUE_CARE = 2.0
BLACK_WEIGHT = 0.2  # ΔE that a full step of black ink away from the wanted one is worth
STARTS = 12  # table nodes that are weighed up as a beginning
WORTH_A_THREAD = 5000  # colours


@dataclass(frozen=True, eq=False)
class DeviceTable:
    """A device sampled on a regular grid: ``lab`` (n, …, n, 3), one axis a channel, each from 0 to 1.

    ``whole_way``: whether differences from a colour beyond the gamut are added up along the way there.
    """

    lab: Floats
    whole_way: bool = False

    @property
    def channels(self) -> int:
        return self.lab.ndim - 1

    @property
    def nodes(self) -> int:
        return int(self.lab.shape[0])

    @cached_property
    def _flat(self) -> Floats:
        return np.ascontiguousarray(self.lab.reshape(-1, 3))

    @cached_property
    def _evened_flat(self) -> Floats:
        return np.ascontiguousarray(_evened(self._flat))

    @cached_property
    def _near(self) -> Near:
        return Near.of(self._evened_flat)

    def at(self, device: ArrayLike) -> Floats:
        """CIELAB (m, 3) of ``device`` (m, channels), between the nodes by multilinear interpolation."""
        places = np.ascontiguousarray(np.clip(np.asarray(device, dtype=np.float64), 0, 1))
        out = np.empty((len(places), 3))
        _run("look_up", self._flat, self.nodes, places, *_rooms(), out)
        return out

    def nearest(self, lab: ArrayLike) -> Floats:
        """Device numbers (m, channels), 0 to 1, of the nearest colours to ``lab`` (m, 3)."""
        targets = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
        if len(targets) < 2 * WORTH_A_THREAD:
            return self._nearest(targets)
        _ = self._near  # made once, before threads would each make their own
        parts = np.array_split(targets, min(os.cpu_count() or 1, len(targets) // WORTH_A_THREAD))
        with ThreadPoolExecutor(len(parts)) as threads:
            return np.concatenate(list(threads.map(self._nearest, parts)))

    def _nearest(self, targets: Floats) -> Floats:
        if len(targets) == 0:
            return np.empty((0, self.channels))
        scales = difference_axes(targets, plain=self.whole_way)
        table, aims = self._flat, targets
        if self.whole_way:
            table, aims = self._evened_flat, _evened(targets)
        near = self._near.query(_evened(targets), STARTS)
        steps = np.einsum("mij,mkj->mki", scales, table[near] - aims[:, None, :])
        wanted = wanted_black(targets)
        cost = np.sum(steps**2, axis=-1)
        if self.channels == 4:
            cost += (BLACK_WEIGHT * (near % self.nodes / (self.nodes - 1) - wanted[:, None])) ** 2
        first = near[np.arange(len(targets)), np.argmin(cost, axis=1)]
        start = np.stack(np.unravel_index(first, self.lab.shape[:-1]), axis=1) / (self.nodes - 1)
        out = np.ascontiguousarray(start, dtype=np.float64)
        care = BLACK_WEIGHT if self.channels == 4 else 0.0
        aims = np.ascontiguousarray(aims)
        _run("descend", table, self.nodes, aims, scales, wanted, care, *_rooms(), out)
        return out


def _run(name: str, *given: Any) -> None:
    run("tackside.profile.device.inverse_kernel", name, *given)


def _rooms() -> tuple[Floats, NDArray[np.int64]]:
    """What the loops reckon in, for one thread."""
    return np.empty((16, 4)), np.empty((2, 4), np.int64)


def difference_axes(lab: Floats, *, plain: bool = False) -> Floats:
    """For each colour the matrix (m, 3, 3) from a small step in L*, a*, b* to weighted ΔL*, ΔC*, ΔH*.

    ``plain``: without CIE94's weights, the care for hue alone.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    safe = np.maximum(chroma, 1e-9)
    cos, sin = np.where(chroma > 1e-9, lab[:, 1] / safe, 1.0), np.where(chroma > 1e-9, lab[:, 2] / safe, 0.0)
    along, across = 1 / (1 + 0.045 * chroma), 1 / (1 + 0.015 * chroma)
    if plain:
        along, across = np.ones_like(chroma), np.ones_like(chroma)
    # A grey has no hue to keep: the care for it comes in with chroma.
    across = across * (1 + (HUE_CARE - 1) * chroma / (chroma + 5))
    axes = np.zeros((len(lab), 3, 3))
    axes[:, 0, 0] = 1
    axes[:, 1, 1], axes[:, 1, 2] = along * cos, along * sin
    axes[:, 2, 1], axes[:, 2, 2] = -across * sin, across * cos
    return axes


def wanted_black(lab: Floats) -> Floats:
    """The black ink (m,) that a colour had best be printed with: more the darker and the greyer it is."""
    depth = np.clip((70 - lab[:, 0]) / 60, 0, 1)
    grey = np.exp(-np.hypot(lab[:, 1], lab[:, 2]) / 30)
    return np.asarray(depth**1.5 * grey)


def _evened(lab: Floats) -> Floats:
    """Colours where CIE94's differences are roughly straight distances: chroma drawn in by a logarithm."""
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    shrink = np.log1p(0.045 * chroma) / 0.045 / np.maximum(chroma, 1e-9)
    return np.stack([lab[..., 0], lab[..., 1] * shrink, lab[..., 2] * shrink], axis=-1)
