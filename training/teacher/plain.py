"""A third kind of press, with no physics at all: eight corners of the cube of numbers, anything smooth in between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.printer_model import INKS, Ink
from tackside.verdict.classifier.features import CORNERS

# Black, red, green, yellow, blue, magenta, cyan, paper: about halfway between FOGRA39L's solids (docs/sources.md, S28)
# and the corners of sRGB, which photo inks lie between; each invented set lies around these.
_CORNERS = np.array(
    [
        (11.0, 0.0, 0.0),
        (50.0, 72.0, 56.0),
        (63.0, -74.0, 50.0),
        (92.0, -11.0, 96.0),
        (27.0, 42.0, -68.0),
        (52.0, 82.0, -24.0),
        (66.0, -43.0, -40.0),
        (95.0, 0.0, -1.0),
    ]
)


@dataclass(frozen=True, eq=False)
class PlainFace:
    """One face of a card: its eight ``corners`` (8, 3) CIELAB, and L* of a black without black ink, ``grey``."""

    corners: Floats
    grey: float

    def varied(self, amount: float, rng: np.random.Generator) -> PlainFace:
        """Another pack (0.2) or another product like it (1)."""
        corners = self.corners + amount * rng.standard_normal((8, 3)) * np.array([0.8, 0.8, 0.8])
        corners[1:7, 1:] *= 1 + amount * 0.04 * rng.standard_normal()
        corners[7] = self.corners[7] + amount * rng.standard_normal(3) * np.array([0.8, 0.5, 1.2])
        corners[:, 0] = np.clip(corners[:, 0], 2.0, 99.0)
        return PlainFace(corners, self.grey)


@dataclass(frozen=True, eq=False)
class PlainPress:
    """``corners`` on a coated card; ``root``: power of light in which corners are mixed; ``bend`` (3,) exponents on
    depth; ``skeleton``: power of the grey component from which black ink takes part."""

    corners: Floats
    root: float
    bend: Floats
    skeleton: float

    def lab(self, numbers: Floats, face: PlainFace, ink: float, missing: tuple[Ink, ...]) -> Floats:
        """CIELAB (n, 3) of numbers (n, 3) sent to it."""
        depth = np.minimum(ink * (1.0 - numbers) ** self.bend, 1.0)
        black = np.minimum(ink * (1.0 - numbers).min(axis=1) ** self.skeleton, 1.0)
        for gone in missing:
            if gone == "k":
                black = np.zeros_like(black)
            else:
                depth[:, INKS.index(gone)] = 0.0
        corners = face.corners.copy()
        corners[0, 0] = face.grey
        part = np.where(CORNERS > 0, 1.0 - depth[:, None, :], depth[:, None, :])
        weights = part[..., 0] * part[..., 1] * part[..., 2] * (1.0 - black[:, None])
        # The darkest corners may ask for less light than none.
        light = np.maximum(lab_to_xyz(np.vstack([corners, face.corners[:1]])), 2e-4) ** self.root
        mixed = weights @ light[:8] + black[:, None] * light[8]
        return xyz_to_lab(mixed ** (1.0 / self.root))

    def coated_face(self, paper: Floats, soft: bool, rng: np.random.Generator) -> PlainFace:
        black = rng.uniform(11.0, 19.0) if soft else rng.uniform(3.0, 14.0)
        hold = rng.uniform(0.8, 1.0) if soft else rng.uniform(0.9, 1.05)
        return self._face(paper, float(black), float(hold), rng)

    def bare_face(self, paper: Floats, rng: np.random.Generator) -> PlainFace:
        return self._face(paper, float(rng.uniform(23.0, 36.0)), float(rng.uniform(0.5, 0.88)), rng)

    def _face(self, paper: Floats, black: float, hold: float, rng: np.random.Generator) -> PlainFace:
        corners = self.corners.copy()
        deep = (corners[7, 0] - corners[:, 0]) / (corners[7, 0] - corners[0, 0])
        corners[:, 0] = paper[0] - deep * (paper[0] - black)
        corners[:, 1:] = corners[:, 1:] * hold + paper[1:] * (1.0 - deep[:, None])
        return PlainFace(corners, black + float(rng.uniform(2.0, 26.0)))


def plain_press(rng: np.random.Generator) -> PlainPress:
    """Corners and what lies between them at random."""
    corners = _CORNERS.copy()
    turn = np.radians(rng.normal(0.0, 7.0, 6))
    a, b = corners[1:7, 1].copy(), corners[1:7, 2].copy()
    keep = rng.uniform(0.75, 1.15) * np.exp(rng.normal(0.0, 0.08, 6))
    corners[1:7, 1] = keep * (a * np.cos(turn) - b * np.sin(turn))
    corners[1:7, 2] = keep * (a * np.sin(turn) + b * np.cos(turn))
    corners[1:7, 0] += rng.normal(0.0, 5.0, 6)
    corners[0, 1:] = rng.normal(0.0, 1.5, 2)
    return PlainPress(
        corners,
        float(rng.uniform(0.3, 0.9)),
        np.exp(rng.normal(0.0, 0.25) + rng.normal(0.0, 0.1, 3)),
        float(rng.uniform(1.5, 5.0)),
    )
