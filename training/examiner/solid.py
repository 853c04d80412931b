"""The colours that a three-channel device reaches: forward, back, and how far its gamut goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates, maximum_filter, zoom
from scipy.spatial import cKDTree

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats

Metric = Literal["76", "94", "00", "hue", "light"]
# Lattice that is looked up in; the gamut's own table of hue by lightness.
FINE, HUES, LIGHTS = 33, 120, 60
_STEPS, _CANDIDATES = 9, 24
# Near enough, in the metric's own unit; and a damping past which no step is left.
_CLOSE, _STUCK = 0.03, 10.0
# How many times lightness and hue count, of the metrics that would keep one of them.
_KEPT: dict[str, tuple[float, float]] = {"hue": (1.0, 3.5), "light": (2.2, 1.5)}


@dataclass(frozen=True, eq=False)
class Solid:
    """``lattice`` (FINE, FINE, FINE, 3): CIELAB, relative to the paper, at even steps of the device's three numbers."""

    lattice: Floats

    @classmethod
    def of(cls, lab: Callable[[Floats], Floats], steps: int) -> Solid:
        """From a chart of ``steps``³ patches through ``lab``, and a spline through them."""
        axis = np.linspace(0.0, 1.0, steps)
        grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
        coarse = lab(grid).reshape(steps, steps, steps, 3)
        scale = FINE / steps
        fine = [zoom(coarse[..., i], scale, order=3, mode="nearest", grid_mode=False) for i in range(3)]
        return cls(np.stack(fine, axis=-1))

    def lab(self, device: Floats) -> Floats:
        """CIELAB (n, 3) of device numbers (n, 3), 0 to 1, linear between lattice points."""
        at = np.clip(device, 0.0, 1.0).T * (FINE - 1)
        found = [map_coordinates(self.lattice[..., i], at, order=1, mode="nearest") for i in range(3)]
        return np.stack(found, axis=-1)

    @cached_property
    def _nodes(self) -> Floats:
        axis = np.linspace(0.0, 1.0, FINE)
        return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(self.lattice.reshape(-1, 3))

    @cached_property
    def darkest(self) -> float:
        """L* of full ink, relative to paper."""
        return float(self.lattice[0, 0, 0, 0])

    def device(self, lab: Floats, metric: Metric = "76") -> Floats:
        """Device numbers (n, 3) whose colour lies nearest ``lab`` (n, 3) by ΔE*ab, by the weights of CIE94, by ΔE00,
        or by ΔE*ab with hue or lightness counted several times.

        Levenberg and Marquardt's steps within the cube, from the best of some lattice points.
        """
        _, near = self._tree.query(
            lab, k=1 if metric == "76" else 2 * _CANDIDATES if metric in _KEPT else _CANDIDATES
        )
        if metric == "76":
            best = near
        else:
            seen = self.lattice.reshape(-1, 3)[near]
            best = np.asarray(near)[
                np.arange(len(lab)), np.argmin(_distance(lab[:, None], seen, metric), axis=1)
            ]
        device, frame = self._nodes[best], _frame(lab, metric)
        off = _off(frame, lab - self.lab(device))
        damping = np.full(len(lab), 1e-2)
        for _ in range(_STEPS):
            left = np.flatnonzero(((off**2).sum(axis=1) > _CLOSE**2) & (damping < _STUCK))
            if not left.size:
                break
            here = device[left]
            tried = np.clip(here + self._step(here, frame[left], off[left], damping[left]), 0.0, 1.0)
            new = _off(frame[left], lab[left] - self.lab(tried))
            better = (new**2).sum(axis=1) < (off[left] ** 2).sum(axis=1)
            device[left[better]], off[left[better]] = tried[better], new[better]
            damping[left] *= np.where(better, 0.3, 5.0)
        return device

    @cached_property
    def _slopes(self) -> Floats:
        """Change of CIELAB with each number, (FINE, FINE, FINE, 3, 3)."""
        slopes = [np.gradient(self.lattice, 1.0 / (FINE - 1), axis=axis) for axis in range(3)]
        return np.stack(slopes, axis=-1)

    def _step(self, device: Floats, frame: Floats, off: Floats, damping: Floats) -> Floats:
        node = np.rint(device * (FINE - 1)).astype(int)
        slope = frame @ self._slopes[node[:, 0], node[:, 1], node[:, 2]]
        pull = (slope * off[:, :, None]).sum(axis=1)
        free = ~(((device <= 0) & (pull < 0)) | ((device >= 1) & (pull > 0)))
        slope = slope * free[:, None, :]
        normal = np.swapaxes(slope, 1, 2) @ slope
        scale = np.trace(normal, axis1=1, axis2=2) / 3.0 + 1e-6
        normal = normal + (damping * scale)[:, None, None] * np.eye(3)
        solved = np.linalg.solve(normal, (pull * free)[..., None])[..., 0]
        return np.clip(solved, -0.25, 0.25)

    @cached_property
    def reach(self) -> Floats:
        """Greatest chroma (LIGHTS + 1, HUES) at lightness 0 to 100 and hue 0 to 360° (even steps)."""
        places = np.linspace(0.0, 1.0, 97)
        u, v = (each.ravel() for each in np.meshgrid(places, places))
        faces = []
        for axis in range(3):
            for end in (0.0, 1.0):
                face = np.insert(np.stack([u, v], axis=-1), axis, end, axis=1)
                faces.append(self.lab(face))
        lab = np.concatenate(faces)
        chroma = np.hypot(lab[:, 1], lab[:, 2])
        hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360.0
        row = np.clip(np.rint(lab[:, 0] / 100.0 * LIGHTS), 0, LIGHTS).astype(int)
        column = (hue / 360.0 * HUES).astype(int) % HUES
        table = np.zeros((LIGHTS + 1, HUES))
        np.maximum.at(table, (row, column), chroma)
        for _ in range(2):  # where no point of the surface fell, what lies beside
            beside = [
                np.roll(table, 1, 1),
                np.roll(table, -1, 1),
                table[[0, *range(LIGHTS)]],
                table[[*range(1, LIGHTS + 1), -1]],
            ]
            table = np.where(table > 0, table, np.mean(beside, axis=0))
        # Widened first, so that smoothing does not cut the ridge of the richest colours.
        wide = maximum_filter(table, (3, 3), mode=("nearest", "wrap"))
        return np.asarray(gaussian_filter(wide, (0.8, 0.9), mode=("nearest", "wrap")))

    def chroma_at(self, lightness: Floats, hue: Floats) -> Floats:
        """Greatest chroma at lightness and hue (degrees), linear between the table's places."""
        wide = np.concatenate([self.reach, self.reach[:, :1]], axis=1)
        at = np.array([np.clip(lightness, 0, 100) / 100.0 * LIGHTS, (hue % 360.0) / 360.0 * HUES])
        return np.asarray(map_coordinates(wide, at, order=1, mode="nearest"))

    def cusp_lightness(self, hue: Floats) -> Floats:
        """Lightness at which this hue reaches furthest."""
        lights = np.linspace(0.0, 100.0, LIGHTS + 1)
        by_hue = lights[np.argmax(gaussian_filter(self.reach, (1.5, 2.0), mode=("nearest", "wrap")), axis=0)]
        wide = np.append(by_hue, by_hue[0])
        return np.asarray(np.interp((hue % 360.0) / 360.0 * HUES, np.arange(HUES + 1), wide))


def tetrahedral(table: Floats, at: Floats) -> Floats:
    """Values (n, k) of a table (s, s, s, k) at places (n, 3), 0 to 1, within the tetrahedra along the grey diagonal."""
    size = table.shape[0]
    where = np.clip(at, 0.0, 1.0) * (size - 1)
    base = np.minimum(where.astype(int), size - 2)
    part = where - base
    order = np.argsort(-part, axis=1, kind="stable")
    ranked = np.take_along_axis(part, order, axis=1)
    here = table[base[:, 0], base[:, 1], base[:, 2]]
    found = (1.0 - ranked[:, :1]) * here
    corner = base.copy()
    for step in range(3):
        corner[np.arange(len(at)), order[:, step]] += 1
        rest = ranked[:, step] - (ranked[:, step + 1] if step < 2 else 0.0)
        found = found + rest[:, None] * table[corner[:, 0], corner[:, 1], corner[:, 2]]
    return np.asarray(found)


def _distance(lab: Floats, seen: Floats, metric: Metric) -> Floats:
    if metric == "00":
        return delta_e_2000(lab, seen)
    chroma, other = np.hypot(lab[..., 1], lab[..., 2]), np.hypot(seen[..., 1], seen[..., 2])
    away = ((lab - seen) ** 2).sum(axis=-1)
    light, rich = lab[..., 0] - seen[..., 0], chroma - other
    hue = np.maximum(away - light**2 - rich**2, 0.0)
    if metric in _KEPT:
        by_light, by_hue = _KEPT[metric]
        return np.asarray(np.sqrt((by_light * light) ** 2 + rich**2 + by_hue**2 * hue))
    rich, hue = rich / (1 + 0.045 * chroma), hue / (1 + 0.015 * chroma) ** 2
    return np.asarray(np.sqrt(light**2 + rich**2 + hue))


def _frame(lab: Floats, metric: Metric) -> Floats:
    """(n, 3, 3): takes a small step in CIELAB to lightness, chroma and hue, each over its weight at ``lab``."""
    if metric == "76":
        return np.broadcast_to(np.eye(3), (len(lab), 3, 3))
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    cosine, sine = np.where(chroma > 1e-6, lab[:, 1:].T / np.maximum(chroma, 1e-6), [[1.0], [0.0]])
    s_light = np.ones(len(lab))
    if metric == "00":
        middle = (lab[:, 0] - 50.0) ** 2
        s_light = 1.0 + 0.015 * middle / np.sqrt(20.0 + middle)
    by_light, by_rich, by_hue = 1.0 / s_light, 1.0 / (1 + 0.045 * chroma), 1.0 / (1 + 0.015 * chroma)
    if metric in _KEPT:
        light, hue = _KEPT[metric]
        by_light, by_rich, by_hue = light * s_light, np.ones(len(lab)), np.full(len(lab), hue)
    frame = np.zeros((len(lab), 3, 3))
    frame[:, 0, 0] = by_light
    frame[:, 1, 1], frame[:, 1, 2] = cosine * by_rich, sine * by_rich
    frame[:, 2, 1], frame[:, 2, 2] = -sine * by_hue, cosine * by_hue
    return frame


def _off(frame: Floats, apart: Floats) -> Floats:
    return np.asarray((frame * apart[:, None, :]).sum(axis=-1))
