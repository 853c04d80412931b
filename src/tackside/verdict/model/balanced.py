"""A textbook print: eight solids, light spread in the card, and numbers turned to tones so that greys come out even.

Colours between the corners follow Neugebauer's sum in Yule and Nielsen's form (J. A. C. Yule, Principles of Color
Reproduction, 1967), R^(1/n) = Σ w_i R_i^(1/n), with Demichel's weights. Management is what makes greys neutral and
evenly spaced in L* between paper and black: one curve for each channel, found here from the corners alone. So "applied
twice" and "not at all" need no guess: the curve is passed through twice, or never.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.records.sheet_plan import Space
from tackside.verdict.measures.patch_table import Floats
from tackside.verdict.model.tone_response import BLACK, CORNERS, PAPER, levels

# Yule and Nielsen's exponent of ordinary card, between 1.5 and 2.5: this project's own estimate (docs/sources.md, S53).
LIGHT_SPREAD = 1.9
_NODES = np.linspace(0.0, 1.0, 17)
_LEAST_LIGHT = 1e-5
# A skeleton black carries the shadows: this power of the grey component (from the middle tones on;
# docs/sources.md, S55).
_SKELETON = 3.0


@dataclass(frozen=True, eq=False)
class Balanced:
    """A print whose ``corners`` (8, 3) CIELAB, in the order of ``tone_response.CORNERS``, are known."""

    corners: Floats
    light_spread: float = LIGHT_SPREAD
    space: Space = "srgb"  # of the numbers that it takes

    @cached_property
    def roots(self) -> Floats:
        return np.asarray(np.maximum(lab_to_xyz(self.corners), _LEAST_LIGHT) ** (1.0 / self.light_spread))

    def of_tones(self, tones: Floats, black: Floats) -> Floats:
        """CIELAB (..., 3) of ink tones (..., 3), cyan, magenta, yellow, and of ``black`` (...), 0 to 1."""
        part = np.where(CORNERS > 0, 1.0 - tones[..., None, :], tones[..., None, :])
        weights = part[..., 0] * part[..., 1] * part[..., 2] * (1.0 - black[..., None])
        mixed = weights @ self.roots + black[..., None] * self.roots[BLACK]
        return np.asarray(xyz_to_lab(mixed**self.light_spread))

    @cached_property
    def curves(self) -> Floats:
        """Tones (17, 3) at even depths 0 to 1 (depth = 1 − number) that make the greys even."""
        level = levels(1.0 - _NODES)[:, None]
        aim = self.corners[BLACK] + level * (self.corners[PAPER] - self.corners[BLACK])
        tones, step = np.repeat(_NODES[:, None], 3, axis=1), 1e-3
        skeleton = np.broadcast_to(_NODES**_SKELETON, (4, len(_NODES)))
        for _ in range(8):  # Gauss–Newton, damped, each depth for itself
            moved = np.stack([tones, *(tones + step * axis for axis in np.eye(3))])
            shown = self.of_tones(moved, skeleton)
            slopes = np.moveaxis((shown[1:] - shown[0]) / step, 0, -1)
            turned = np.swapaxes(slopes, 1, 2)
            gap = turned @ (aim - shown[0])[..., None]
            change = np.linalg.solve(turned @ slopes + 0.3 * np.eye(3), gap)[..., 0]
            tones = np.clip(tones + np.clip(change, -0.25, 0.25), 0.0, 1.0)
        tones[0], tones[-1] = 0.0, 1.0
        return np.asarray(np.maximum.accumulate(tones, axis=0))

    def managed(self, depth: Floats) -> Floats:
        """Tones in print (..., 3) of depths (..., 3) passed once through the curves."""
        return np.stack([np.interp(depth[..., i], _NODES, self.curves[:, i]) for i in range(3)], axis=-1)

    def managed_twice(self, depth: Floats, tone_gain: float) -> Floats:
        """Depths (..., 3) passed once, as they would be passed again: the tones laid, before they grow.

        ``tone_gain`` > 0: by how much a tone of half grows in print, which management has to make up for.
        """
        g = tone_gain
        # Solves tone = laid + 4 g laid (1 − laid) for what is laid.
        whole = 1.0 + 4.0 * g
        return np.asarray((whole - np.sqrt(whole**2 - 16.0 * g * self.managed(depth))) / (8.0 * g))

    def unmanaged(self, depth: Floats, tone_gain: float) -> Floats:
        """Depths (..., 3) that, managed, would show what these show when no curve is there and tones grow."""
        rising = self.curves + 1e-9 * _NODES[:, None]
        grown = depth + 4.0 * tone_gain * depth * (1.0 - depth)
        return np.stack([np.interp(grown[..., i], rising[:, i], _NODES) for i in range(3)], axis=-1)

    def lab(self, numbers: Floats) -> Floats:
        """CIELAB (..., 3) of numbers (..., 3), 0 to 1, managed once as they should be."""
        depth = 1.0 - np.clip(numbers, 0.0, 1.0)
        return self.of_tones(self.managed(depth), depth.min(axis=-1) ** _SKELETON)
