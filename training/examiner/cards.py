"""Cards under ink: amounts of each ink in, colour and spectrum out; what a wrong amount does; how lines run.

Two kinds share one interface: cards of open characterisation data (or of a profile's own colorimetric table), and
cards whose reflectance is worked out from ink spectra (``inkjet``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from training.examiner.spectra import Likely


@dataclass(frozen=True)
class Grain:
    """How a card takes drops. ``spread_um``: growth of a black line, both edges together; ``blur_um``: standard
    deviation of its soft edge; ``ragged_um``: of the edge's own wandering; ``mottle``: standard deviation, in L*, over
    areas of a millimetre or two; ``grain``: the same below that.
    """

    spread_um: float
    blur_um: float
    ragged_um: float
    mottle: float
    grain: float


class Card(Protocol):
    """One face of one card in one printer."""

    @property
    def name(self) -> str: ...

    @property
    def is_coated(self) -> bool: ...

    @property
    def base(self) -> str: ...

    @property
    def grain(self) -> Grain: ...

    def xyz(self, inks: Floats) -> Floats:
        """XYZ (n, 3) of ink amounts (n, k): 1 is full; above 1 too much was laid down."""
        ...

    def spectra(self, inks: Floats) -> Floats:
        """Reflectance (n, 31) of the same."""
        ...

    def another(self, rng: np.random.Generator, size: float) -> Card:
        """The same card of another pack or day: ``size`` 1 is as much as a user would meet."""
        ...


# A film of ink on top of a full one adds density, but less than in proportion: this project's own estimate.
OVERFILL = 0.35


@dataclass(frozen=True, eq=False)
class MeasuredCard:
    """A card whose XYZ ``at`` CMYK amounts (0 to 1) is measured data, with a tone and a shade of its own.

    ``gain`` (4,): how far the middle tone of each ink lies above the data's; ``shade`` (3,) multiplies XYZ;
    ``strength``: exponent of the reflectance relative to paper, above 1 for a fuller solid.
    """

    name: str
    is_coated: bool
    base: str
    grain: Grain
    at: Callable[[Floats], Floats]
    likely: Likely
    gain: Floats
    shade: Floats
    strength: float = 1.0

    def xyz(self, inks: Floats) -> Floats:
        amounts = np.clip(inks, 0.0, 1.0)
        amounts = np.clip(amounts + 4.0 * self.gain * amounts * (1.0 - amounts), 0.0, 1.0)
        paper = self.at(np.zeros((1, 4)))
        over = np.maximum(inks - 1.0, 0.0)
        fuller = self.strength + OVERFILL * over.sum(axis=1) / np.maximum(np.ceil(amounts).sum(axis=1), 1.0)
        return np.asarray(paper * np.maximum(self.at(amounts) / paper, 1e-4) ** fuller[:, None] * self.shade)

    def spectra(self, inks: Floats) -> Floats:
        return self.likely.spectra(self.xyz(inks))

    def another(self, rng: np.random.Generator, size: float) -> MeasuredCard:
        white = lab_to_xyz(np.array([100.0, 0.0, 0.0]) + size * rng.normal(0.0, (0.3, 0.25, 0.5)))
        return replace(
            self,
            gain=self.gain + size * rng.normal(0.0, 0.012, 4),
            shade=self.shade * white / lab_to_xyz(np.array([100.0, 0.0, 0.0])),
            strength=self.strength * float(np.exp(size * rng.normal(0.0, 0.02))),
        )


def lab_of(card: Card, inks: Floats) -> Floats:
    """CIELAB D50 (n, 3) against the perfect diffuser."""
    return xyz_to_lab(card.xyz(inks))


def coated_grain(rng: np.random.Generator) -> Grain:
    """Ranges of this project's own estimate: ink stays where it lands."""
    return Grain(
        spread_um=float(rng.uniform(14.0, 52.0)),
        blur_um=float(rng.uniform(12.0, 24.0)),
        ragged_um=float(rng.uniform(2.0, 7.0)),
        mottle=float(np.exp(rng.normal(-1.2, 0.3))),
        grain=float(rng.uniform(0.4, 1.1)),
    )


def bare_grain(rng: np.random.Generator) -> Grain:
    """Ranges of this project's own estimate: ink runs along fibres and lies unevenly."""
    return Grain(
        spread_um=float(rng.uniform(62.0, 125.0)),
        blur_um=float(rng.uniform(22.0, 45.0)),
        ragged_um=float(rng.uniform(8.0, 22.0)),
        mottle=float(np.exp(rng.normal(0.0, 0.3))),
        grain=float(rng.uniform(0.9, 2.4)),
    )
