"""What a card does to a picture, in figures: both as media-relative CIELAB, white at 100, 0, 0.

Comparing media-relative is comparing what an eye sees that has taken the card's white for white.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.difference import delta_e_2000

Lab32 = NDArray[np.float32]

SHADOW_L = 25.0  # below this L* a picture's part counts as shadow (docs/sources.md, S25)
SATURATED_C = 50.0  # above this C*ab as saturated (docs/sources.md, S25)
COLOURED_C = 10.0  # below this C*ab a hue is not seen as one
NEUTRAL_C = 4.0
BLOCK = 32_768  # pixels worked at a time
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
    one, two = np.asarray(original, dtype=np.float64), np.asarray(printed, dtype=np.float64)
    steps = differences(one, two)
    chroma_1, chroma_2 = _length(one[..., 1:]), _length(two[..., 1:])
    neutral = (chroma_1 < NEUTRAL_C) & (one[..., 0] > 1) & (one[..., 0] < 99)
    strong = chroma_1 > SATURATED_C
    moved = _length(two[..., 1:] - one[..., 1:])
    return Figures(
        de00_mean=float(steps.mean()),
        de00_median=_quantile(steps, 0.5),
        de00_p95=_quantile(steps, 0.95),
        lightness=float(np.mean(two[..., 0] - one[..., 0])),
        chroma=float(np.mean(chroma_2 - chroma_1)),
        hue_shift_deg=_hue_shift(one, two, (chroma_1 > COLOURED_C) & (chroma_2 > COLOURED_C / 2)),
        lost_shadow=_lost(one[..., :1], two[..., :1], one[..., 0] < SHADOW_L),
        lost_saturated=_lost(one, two, strong),
        grey_balance=float(moved[neutral].mean()) if neutral.mean() > LEAST_SHARE else None,
        shadow=float(np.mean(one[..., 0] < SHADOW_L)),
        saturated=float(np.mean(strong)),
        chroma_saturated=float((chroma_2 - chroma_1)[strong].mean())
        if strong.mean() >= LEAST_SHARE
        else None,
    )


def differences(original: ArrayLike, printed: ArrayLike) -> NDArray[np.float64]:
    """CIEDE2000 of each pixel of two pictures (h, w, 3), shape (h, w), some rows at a time: the formula keeps thirty
    values a pixel.
    """
    one, two = np.asarray(original), np.asarray(printed)
    rows = max(1, BLOCK // max(1, one.shape[1]))
    parts = [delta_e_2000(one[top : top + rows], two[top : top + rows]) for top in range(0, len(one), rows)]
    return np.concatenate(parts)


def out_of_gamut(original: ArrayLike, nearest: ArrayLike) -> NDArray[np.float64]:
    """By how much (ΔE00) each pixel (h, w, 3) lies outside the card, 0 where the card holds it, shape (h, w).

    ``nearest``: the same colours there and back by the card's relative colorimetric intent, without black point
    compensation.
    """
    far = differences(original, nearest)
    return np.where(far > OUTSIDE, far, 0.0)


def local_contrast(lab: ArrayLike) -> NDArray[np.float64]:
    """The mean step of each pixel of (h, w, n) to its right and lower neighbours, ΔE*ab, shape (h, w)."""
    values = np.asarray(lab, dtype=np.float64)
    right = np.zeros(values.shape[:2])
    below = np.zeros(values.shape[:2])
    right[:, :-1] = _length(np.diff(values, axis=1))
    below[:-1] = _length(np.diff(values, axis=0))
    return (right + below) / 2


def _quantile(values: NDArray[np.float64], share: float) -> float:
    """What ``share``, 0 to 1, of the values lie below, linear between two of them (R. J. Hyndman, Y. Fan, "Sample
    quantiles in statistical packages", The American Statistician 50 (4), 1996, definition 7), as NumPy's own, which
    loads all of its masked arrays for it.
    """
    place = share * (values.size - 1)
    below = int(place)
    above = min(below + 1, values.size - 1)
    part = np.partition(values, (below, above), axis=None)
    return float(part[above] - (part[above] - part[below]) * (1 - (place - below)))


def _length(steps: NDArray[np.float64]) -> NDArray[np.float64]:
    """The lengths of vectors (..., n), shape (...): one axis after the other, as a sum along the last takes longer."""
    squares = steps[..., 0] * steps[..., 0]
    for axis in range(1, steps.shape[-1]):
        squares += steps[..., axis] * steps[..., axis]
    return np.asarray(np.sqrt(squares))


def _lost(
    original: NDArray[np.float64], printed: NDArray[np.float64], part: NDArray[np.bool_]
) -> float | None:
    """The share of a part's local contrast that stands where the print keeps less than KEPT of it."""
    if part.mean() < LEAST_SHARE:
        return None
    had, has = local_contrast(original)[part], local_contrast(printed)[part]
    whole = float(had.sum())
    return float(had[has < KEPT * had].sum()) / whole if whole > 0 else 0.0


def _hue_shift(one: NDArray[np.float64], two: NDArray[np.float64], part: NDArray[np.bool_]) -> float | None:
    if part.mean() < LEAST_SHARE:
        return None
    first, second = one[part], two[part]
    turn = np.arctan2(second[:, 2], second[:, 1]) - np.arctan2(first[:, 2], first[:, 1])
    return float(np.degrees(np.abs((turn + np.pi) % (2 * np.pi) - np.pi)).mean())
