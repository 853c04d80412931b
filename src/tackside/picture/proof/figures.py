"""What a card does to a picture, in figures: both as media-relative CIELAB, white at 100, 0, 0.

Comparing media-relative is comparing what an eye sees that has taken the card's white for white.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.difference import picture_delta_e_2000

Lab32 = NDArray[np.float32]
Single = NDArray[np.float32]  # what a picture's colours come in: their tables hold no more

SHADOW_L = 25.0  # below this L* a picture's part counts as shadow (docs/sources.md, S25)
SATURATED_C = 50.0  # above this C*ab as saturated (docs/sources.md, S25)
COLOURED_C = 10.0  # below this C*ab a hue is not seen as one
NEUTRAL_C = 4.0
KEPT = 1 / 3  # a step of tone flattened further than this is taken for lost
LEAST_SHARE = 0.002  # a part smaller than this share of the picture says nothing
OUTSIDE = (
    2.0  # ΔE00 of the round trip beyond which a colour counts as outside: tables themselves stray by about 1
)


@dataclass(frozen=True)
class Figures:
    """One picture on one card by one intent. None: the picture holds too little of that part.

    ``de00_*``: CIEDE2000 between picture and print. ``lightness`` and ``chroma``: the mean change of L* and C*ab.
    ``hue_shift_deg``: the mean size of the change of hue where the picture has one. ``lost_shadow`` and
    ``lost_saturated``: the share, 0 to 1, of local contrast that the print flattens to less than a third, in the
    shadows (in L*) and in saturated colours (in ΔE*ab). ``shadow`` and ``saturated``: how much of the picture
    those are, 0 to 1. ``grey_balance``: the mean distance in a*b* that neutrals move. ``chroma_saturated``: the mean
    change of C*ab of saturated colours.
    """

    de00_mean: float
    de00_median: float
    de00_p95: float
    lightness: float
    chroma: float
    hue_shift_deg: float | None
    lost_shadow: float | None
    lost_saturated: float | None
    grey_balance: float | None
    shadow: float
    saturated: float
    chroma_saturated: float | None = None


def compare(original: ArrayLike, printed: ArrayLike) -> Figures:
    """The figures of a print (h, w, 3) beside its picture (h, w, 3), media-relative CIELAB both."""
    one, two = np.asarray(original, dtype=np.float32), np.asarray(printed, dtype=np.float32)
    steps = picture_delta_e_2000(one, two)
    chroma_1, chroma_2 = _length(one[..., 1:]), _length(two[..., 1:])
    neutral = (chroma_1 < NEUTRAL_C) & (one[..., 0] > 1) & (one[..., 0] < 99)
    strong = chroma_1 > SATURATED_C
    moved = _length(two[..., 1:] - one[..., 1:])
    return Figures(
        de00_mean=_mean(steps),
        de00_median=_quantile(steps, 0.5),
        de00_p95=_quantile(steps, 0.95),
        lightness=_mean(two[..., 0] - one[..., 0]),
        chroma=_mean(chroma_2 - chroma_1),
        hue_shift_deg=_hue_shift(one, two, (chroma_1 > COLOURED_C) & (chroma_2 > COLOURED_C / 2)),
        lost_shadow=_lost(one[..., :1], two[..., :1], one[..., 0] < SHADOW_L),
        lost_saturated=_lost(one, two, strong),
        grey_balance=_mean(moved[neutral]) if neutral.mean() > LEAST_SHARE else None,
        shadow=float(np.mean(one[..., 0] < SHADOW_L)),
        saturated=float(np.mean(strong)),
        chroma_saturated=_mean((chroma_2 - chroma_1)[strong]) if strong.mean() >= LEAST_SHARE else None,
    )


def out_of_gamut(original: ArrayLike, nearest: ArrayLike) -> Single:
    """By how much (ΔE00) each pixel (h, w, 3) lies outside the card, 0 where the card holds it, shape (h, w).

    ``nearest``: the same colours there and back by the card's relative colorimetric intent, without black point
    compensation.
    """
    far = picture_delta_e_2000(original, nearest)
    return far * (far > OUTSIDE)


def local_contrast(lab: ArrayLike) -> Single:
    """The mean step of each pixel of (h, w, n) to its right and lower neighbours, ΔE*ab, shape (h, w)."""
    values = np.asarray(lab, dtype=np.float32)
    right = np.zeros(values.shape[:2], np.float32)
    below = np.zeros(values.shape[:2], np.float32)
    right[:, :-1] = _length(np.diff(values, axis=1))
    below[:-1] = _length(np.diff(values, axis=0))
    return np.asarray((right + below) / 2)


def _quantile(values: Single, share: float) -> float:
    """What ``share``, 0 to 1, of the values lie below, linear between two of them (R. J. Hyndman, Y. Fan, "Sample
    quantiles in statistical packages", The American Statistician 50 (4), 1996, definition 7), as NumPy's own, which
    loads all of its masked arrays for it.
    """
    place = share * (values.size - 1)
    below = int(place)
    above = min(below + 1, values.size - 1)
    part = np.partition(values, (below, above), axis=None)
    low, high = float(part[below]), float(part[above])
    return high - (high - low) * (1 - (place - below))


def _length(steps: Single) -> Single:
    """The lengths of vectors (..., n), shape (...): one axis after the other, as a sum along the last takes longer."""
    squares = steps[..., 0] * steps[..., 0]
    for axis in range(1, steps.shape[-1]):
        squares += steps[..., axis] * steps[..., axis]
    return np.asarray(np.sqrt(squares))


def _lost(original: Single, printed: Single, part: NDArray[np.bool_]) -> float | None:
    """The share of a part's local contrast that stands where the print keeps less than KEPT of it."""
    if part.mean() < LEAST_SHARE:
        return None
    had, has = local_contrast(original) * part, local_contrast(printed)
    whole = float(had.sum(dtype=np.float64))
    return float((had * (has < KEPT * had)).sum(dtype=np.float64)) / whole if whole > 0 else 0.0


def _hue_shift(one: Single, two: Single, part: NDArray[np.bool_]) -> float | None:
    if part.mean() < LEAST_SHARE:
        return None
    a_1, b_1, a_2, b_2 = one[..., 1], one[..., 2], two[..., 1], two[..., 2]
    # The angle between two directions, by their products across and along. Of all: to pick some out takes longer.
    turn = np.abs(np.arctan2(a_1 * b_2 - b_1 * a_2, a_1 * a_2 + b_1 * b_2))
    return math.degrees(_mean(turn[part]))


def _mean(values: Single) -> float:
    """Added up in double precision, or a large picture's would wander."""
    return float(values.mean(dtype=np.float64))
