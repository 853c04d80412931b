"""A straight band of shadow across the sheets, as beside a fold or from a window's bar: where it lies and how deep.

Bare card shows light only here and there; that a shadow runs straight on tells it between these places. A band is the
logarithm of light falling by ``depth`` exp(−d²/2σ²) at the distance d from a line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from tackside.colour.spaces import Floats

# Searched: directions, and half widths (σ) in mm.
DIRECTIONS, WIDTHS_MM = 36, (3.0, 5.0, 8.0, 12.0, 18.0)
# A band must explain so many times the variance that it leaves over, and be so deep (log).
LEAST_EXPLAINED, LEAST_DEEP = 40.0, 0.02
FEWEST = 12


@dataclass(frozen=True, eq=False)
class ShadowBand:
    """``normal``: radians; ``at``: px along it; ``wide``: σ in px; ``depth`` (3,): log, negative for a shadow."""

    normal: float
    at: float
    wide: float
    depth: Floats

    def over(self, px: Floats) -> Floats:
        """The logarithm of its light (n, 3) at ``px`` (n, 2)."""
        return np.asarray(self.shape(px)[:, None] * self.depth)

    def shape(self, px: Floats) -> Floats:
        """How much of its depth (n,), 0 to 1, there is at ``px`` (n, 2)."""
        return _shape(px, self.normal, self.at, self.wide)


def find_band(px: Floats, off: Floats, noise: Floats, px_per_mm: float) -> ShadowBand | None:
    """The band that places ``px`` (n, 2) show, which are missed by ``off`` (n, 3, log) with ``noise`` (n,); None where
    there is none to be told."""
    if len(px) < FEWEST:
        return None
    level, weight = off.mean(axis=1), 1.0 / noise
    start = _searched(px, level, weight, px_per_mm)
    if start is None:
        return None

    def missed(unknown: Floats) -> Floats:
        shape = _shape(px, unknown[0], unknown[1], np.exp(unknown[2]))
        return np.asarray((unknown[3] * shape + unknown[4] - level) * weight)

    found = least_squares(missed, start, loss="soft_l1", x_scale=(0.1, 10.0, 0.3, 0.05, 0.02), max_nfev=60)
    normal, at, wide, deep, ground = found.x
    shape = _shape(px, normal, at, np.exp(wide))
    left = missed(found.x)
    spread = max((1.4826 * float(np.median(np.abs(left)))) ** 2, 0.25)
    explained = float((((level - ground) * weight) ** 2).sum() - (left**2).sum()) / spread
    too_wide = np.exp(wide) > 2.0 * WIDTHS_MM[-1] * px_per_mm or np.exp(wide) < 0.5 * WIDTHS_MM[0] * px_per_mm
    if explained < LEAST_EXPLAINED or deep > -LEAST_DEEP or too_wide:
        return None
    # Each channel's own depth: what falls into a shadow has another colour than what is kept from it.
    share = shape * weight
    depth = (share @ ((off - ground) * weight[:, None])) / float(share @ share)
    return ShadowBand(float(normal), float(at), float(np.exp(wide)), np.asarray(depth))


def _searched(px: Floats, level: Floats, weight: Floats, px_per_mm: float) -> Floats | None:
    """Where to begin: the line that explains most, with a level ground beside it."""
    best, begin = 0.0, None
    total = float((weight**2).sum())
    ground = float((weight**2 @ level) / total)
    rest = level - ground
    for normal in np.arange(DIRECTIONS) * np.pi / DIRECTIONS:
        along = px @ np.array([np.cos(normal), np.sin(normal)])
        for wide in np.array(WIDTHS_MM) * px_per_mm:
            places = np.arange(along.min(), along.max() + wide, wide)
            shape = np.exp(-0.5 * ((along[None] - places[:, None]) / wide) ** 2)
            shape -= (shape @ weight**2 / total)[:, None]
            norm = (shape**2) @ weight**2
            dot = shape @ (weight**2 * rest)
            deep = dot / np.maximum(norm, 1e-12)
            gain = np.where((deep < 0.0) & (norm > 1e-6 * total), dot * deep, 0.0)
            place = int(np.argmax(gain))
            if gain[place] > best:
                best = float(gain[place])
                begin = np.array([normal, places[place], np.log(wide), deep[place], ground])
    return begin


def _shape(px: Floats, normal: float, at: float, wide: float) -> Floats:
    along = px @ np.array([np.cos(normal), np.sin(normal)])
    return np.asarray(np.exp(-0.5 * ((along - at) / wide) ** 2))
