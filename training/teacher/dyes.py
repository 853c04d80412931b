"""A second kind of press: inks that lie over one another as filters do, in three broad bands, under a surface that
throws back some light (Lambert and Beer's law; common physics). It knows no dots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.printer_model import INKS, Ink

# Densities of full cyan, magenta, yellow and black in the bands of X, Y and Z, about those of FOGRA39L's solids
# (docs/sources.md, S28); each invented set lies around these.
_DENSITIES = np.array([(0.80, 0.62, 0.15), (0.43, 0.75, 0.52), (0.10, 0.10, 1.10), (1.6, 1.6, 1.6)])

# How many of these presses have no black ink.
THREE_INKS = 0.25


@dataclass(frozen=True, eq=False)
class Face:
    """One face of a card under these inks. ``paper`` (3,) CIELAB; ``surface``: share of light thrown back; ``holds``:
    share of each ink's density that stays on top (4,); ``grows``: exponent on amounts, below 1 for ink that spreads."""

    paper: Floats
    surface: float
    holds: Floats
    grows: float

    def varied(self, amount: float, rng: np.random.Generator) -> Face:
        """Another pack (0.2) or another product like it (1)."""
        paper = self.paper + amount * rng.standard_normal(3) * np.array([0.8, 0.5, 1.2])
        paper[0] = min(paper[0], 99.0)
        return Face(
            paper,
            float(self.surface * np.exp(0.15 * amount * rng.standard_normal())),
            self.holds * np.exp(amount * (0.03 * rng.standard_normal() + 0.02 * rng.standard_normal(4))),
            float(self.grows * np.exp(0.04 * amount * rng.standard_normal())),
        )


@dataclass(frozen=True, eq=False)
class DyePress:
    """``densities`` (4, 3); ``bend`` (4,) exponents from amount to density; ``start``, ``rise``, ``takes``: where black
    begins, how fast, and how much of the others it takes away; ``limit``: of all inks together."""

    densities: Floats
    bend: Floats
    start: float
    rise: float
    takes: float
    limit: float

    @property
    def has_black(self) -> bool:
        return bool(self.densities[3].max() > 0.0)

    def lab(self, numbers: Floats, face: Face, ink: float, missing: tuple[Ink, ...]) -> Floats:
        """CIELAB (n, 3) of numbers (n, 3) sent to it."""
        depth = 1.0 - numbers
        black = np.clip((depth.min(axis=1) - self.start) / (1.0 - self.start), 0.0, 1.0) ** self.rise
        colours = depth * (1.0 - self.takes * black[:, None])
        room = np.maximum(self.limit - black, 0.5) / np.maximum(colours.sum(axis=1), 1e-9)
        laid = np.column_stack([colours * np.minimum(1.0, room)[:, None], black])
        # What is laid beyond the full tone pools, and adds little.
        laid = laid * ink
        laid = np.where(laid > 1.0, 1.0 + 0.15 * (laid - 1.0), laid)
        for gone in missing:
            laid[:, INKS.index(gone)] = 0.0
        density = (laid ** (self.bend * face.grows)) @ (face.holds[:, None] * self.densities)
        light = 10.0**-density
        return xyz_to_lab(lab_to_xyz(face.paper) * (face.surface + (1.0 - face.surface) * light))

    def coated_face(self, paper: Floats, soft: bool, rng: np.random.Generator) -> Face:
        surface = rng.uniform(0.008, 0.022) if soft else rng.uniform(0.001, 0.012)
        holds = (rng.uniform(0.8, 1.0) if soft else rng.uniform(0.9, 1.05)) * np.exp(rng.normal(0, 0.04, 4))
        return Face(paper, float(surface), holds, float(rng.uniform(0.85, 1.1)))

    def bare_face(self, paper: Floats, rng: np.random.Generator) -> Face:
        holds = rng.uniform(0.5, 0.88) * np.exp(rng.normal(0, 0.07, 4))
        return Face(paper, float(rng.uniform(0.02, 0.045)), holds, float(rng.uniform(0.7, 0.95)))


def dye_press(rng: np.random.Generator) -> DyePress:
    """Inks and a separation at random."""
    own = _DENSITIES * np.exp(rng.normal(0.0, 0.18, (4, 3)) + rng.normal(0.05, 0.15, (4, 1)))
    # Purer or dirtier inks: what they take away outside their own band.
    dirt = float(rng.uniform(0.6, 1.1))
    for ink, band in enumerate((0, 1, 2)):
        others = [other for other in range(3) if other != band]
        own[ink, others] *= dirt
    if rng.random() < THREE_INKS:
        own[:3] *= rng.uniform(1.25, 1.6)
        own[3] = 0.0
        return DyePress(own, np.exp(rng.normal(0.0, 0.15, 4)), 0.5, 1.0, 0.0, 4.0)
    own[3] = own[3].mean() * np.exp(rng.normal(0, 0.04, 3))
    return DyePress(
        own,
        np.exp(rng.normal(0.0, 0.15, 4)),
        float(rng.uniform(0.0, 0.6)),
        float(rng.uniform(0.8, 3.0)),
        float(rng.uniform(0.0, 0.9)),
        float(rng.uniform(2.2, 4.0)),
    )
