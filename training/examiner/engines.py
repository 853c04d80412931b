"""Engines: from the numbers that a printer takes to amounts of each ink.

A CMYK engine takes ink amounts as they stand; an RGB engine separates them itself, by tone curves, black generation and
an ink limit of its own. These are this project's own sketches of what any separation must do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.spaces import Floats

BlackStart = Literal["light", "medium", "heavy"]
# Where black begins, as a share of the common grey of the three inks, the exponent it rises by, and how much of the
# grey it takes away.
BLACKS: dict[str, tuple[tuple[float, float], tuple[float, float], tuple[float, float]]] = {
    "light": ((0.5, 0.75), (1.4, 2.2), (0.2, 0.4)),
    "medium": ((0.25, 0.45), (1.2, 1.8), (0.45, 0.65)),
    "heavy": ((0.0, 0.15), (0.9, 1.3), (0.75, 0.95)),
}


@dataclass(frozen=True)
class Separation:
    """RGB numbers (0 to 1) to amounts of ``inks``.

    ``tone`` (3,): exponents of 1 − R, 1 − G, 1 − B; ``start``, ``rise``, ``takes``: black generation; ``limit``: the
    most ink in all, 1 each; ``thin``: amount of the dark ink at which its light one has done its share.
    """

    inks: tuple[str, ...]
    tone: tuple[float, float, float]
    start: float
    rise: float
    takes: float
    limit: float
    thin: float

    def amounts(self, rgb: Floats) -> Floats:
        """Ink amounts (n, k) of RGB (n, 3)."""
        c, m, y = (np.clip(1.0 - rgb[:, i], 0.0, 1.0) ** self.tone[i] for i in range(3))
        key = np.zeros_like(c)
        if "k" in self.inks:
            grey = np.minimum(np.minimum(c, m), y)
            key = np.clip((grey - self.start) / (1.0 - self.start), 0.0, 1.0) ** self.rise
            c, m, y = (each - self.takes * key * grey for each in (c, m, y))
            room = np.maximum(self.limit - key, 0.0)
            squeeze = np.minimum(1.0, room / np.maximum(c + m + y, 1e-9))
            c, m, y = c * squeeze, m * squeeze, y * squeeze
        found = {"c": c, "m": m, "y": y, "k": key}
        for dark in ("c", "m", "k"):
            if "l" + dark in self.inks:
                found["l" + dark], found[dark] = self._thinned(found[dark])
        for name, first, second in (("r", "m", "y"), ("g", "c", "y"), ("b", "c", "m")):
            if name in self.inks:
                both = np.minimum(found[first], found[second]) ** 2
                found[name] = both
                found[first], found[second] = found[first] - 0.35 * both, found[second] - 0.35 * both
        return np.clip(np.stack([found[name] for name in self.inks], axis=-1), 0.0, 1.0)

    def _thinned(self, amount: Floats) -> tuple[Floats, Floats]:
        """Light and dark ink in the place of ``amount`` of the dark one: the light one first, which then gives way."""
        turn = self.thin * 0.3
        dark = np.where(amount <= turn, 0.0, (amount - turn) / (1.0 - turn)) ** 1.15
        light = np.clip((amount - dark * (1.0 - 0.2 * amount)) / 0.3, 0.0, 1.0) * (1.0 - 0.6 * dark)
        return light, dark


def draw_separation(
    rng: np.random.Generator,
    inks: tuple[str, ...],
    black: str | None = None,
    limit: tuple[float, float] = (2.4, 3.4),
) -> Separation:
    """A separation for these inks; ``black`` None draws how heavily black replaces grey."""
    starts, rises, takes = BLACKS[black if black is not None else str(rng.choice(list(BLACKS)))]
    tone = rng.uniform(0.85, 1.35) * np.exp(rng.normal(0.0, 0.04, 3))
    return Separation(
        inks,
        (float(tone[0]), float(tone[1]), float(tone[2])),
        float(rng.uniform(*starts)),
        float(rng.uniform(*rises)),
        float(rng.uniform(*takes)),
        float(rng.uniform(*limit)),
        float(rng.uniform(0.6, 1.0)),
    )


@dataclass(frozen=True)
class Engine:
    """What a printer takes, ``takes`` "rgb" or "cmyk", and how that becomes ink.

    ``separation`` is the printer's own; of a CMYK engine it is used only where RGB arrives unconverted.
    """

    takes: Literal["rgb", "cmyk"]
    inks: tuple[str, ...]
    separation: Separation

    def amounts(self, device: Floats) -> Floats:
        """Ink amounts (n, k) of device numbers, 0 to 1."""
        return np.clip(device, 0.0, 1.0) if self.takes == "cmyk" else self.separation.amounts(device)

    def as_numbers(self, rgb: Floats) -> Floats:
        """The device numbers where RGB file numbers are taken for the printer's own."""
        return self.separation.amounts(rgb) if self.takes == "cmyk" else rgb
