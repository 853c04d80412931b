"""The map from millimetres asked for to pixels of the scan, as far as the marks allow it.

Three marks fix an affine map: shift, turn, tilt, a scale for each axis, and skew. With eight or more, a map of
second order is taken where it foretells marks that it was not fitted to clearly better. And what marks and edges are
fitted by alike: medians and straight lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats

FEWEST_MARKS = 3
FEWEST_FOR_SECOND_ORDER = 8
# A curved map has to halve the error of foretelling, and the straight one has to be off by more than the marks' own
# scatter, before the curve is believed.
CLEARLY_BETTER = 0.5
WORTH_A_CURVE_PX = 0.25


class Mapped(Protocol):
    """Whatever takes millimetres on the sheet to pixels."""

    def to_px(self, mm: ArrayLike) -> Floats: ...


@dataclass(frozen=True, eq=False)
class SheetMap:
    """Millimetres (x, y) on the sheet as asked for → pixels: ``coefficients`` (3 or 6, 2) on 1, x, y(, x², xy, y²).

    ``middle`` (2,) in mm is where x and y count from, which keeps the numbers small.
    """

    coefficients: Floats
    middle: Floats

    def to_px(self, mm: ArrayLike) -> Floats:
        """Pixels (..., 2) of points (..., 2) in mm; the centre of pixel (row i, column j) is (j + ½, i + ½)."""
        return np.asarray(
            _terms(np.asarray(mm, dtype=np.float64) - self.middle, len(self.coefficients)) @ self.coefficients
        )

    @property
    def linear(self) -> Floats:
        """The (2, 2) matrix at the middle: columns are pixels for each mm along x and along y."""
        return np.asarray(self.coefficients[1:3].T)

    @property
    def px_per_mm(self) -> float:
        return float(np.sqrt(abs(np.linalg.det(self.linear))))

    @property
    def is_curved(self) -> bool:
        return len(self.coefficients) > 3


def fit_map(mm: ArrayLike, px: ArrayLike) -> SheetMap:
    """Least squares through marks at ``mm`` (n, 2) seen at ``px`` (n, 2), n at least 3."""
    at, seen = np.asarray(mm, dtype=np.float64), np.asarray(px, dtype=np.float64)
    straight = _solve(at, seen, 3)
    if len(at) < FEWEST_FOR_SECOND_ORDER:
        return straight
    ahead, ahead_curved = foretelling_px(at, seen, 3), foretelling_px(at, seen, 6)
    if ahead > WORTH_A_CURVE_PX and ahead_curved < CLEARLY_BETTER * ahead:
        return _solve(at, seen, 6)
    return straight


def foretelling_px(mm: Floats, px: Floats, terms: int) -> float:
    """RMS distance (px) by which a fit without a mark misses that mark, each left out in turn."""
    design = _terms(mm - mm.mean(axis=0), terms)
    hat = design @ np.linalg.pinv(design)
    left = px - hat @ px
    leverage = np.clip(1.0 - np.diag(hat), 1e-6, None)
    return float(np.sqrt(np.mean(np.sum((left / leverage[:, None]) ** 2, axis=1))))


def residuals_px(fitted: SheetMap, mm: ArrayLike, px: ArrayLike) -> Floats:
    """Distance (n,) in pixels from each mark to where the map puts it."""
    return np.asarray(np.hypot(*(fitted.to_px(mm) - np.asarray(px, dtype=np.float64)).T))


def _solve(mm: Floats, px: Floats, terms: int) -> SheetMap:
    middle = mm.mean(axis=0)
    coefficients, *_ = np.linalg.lstsq(_terms(mm - middle, terms), px, rcond=None)
    return SheetMap(np.asarray(coefficients), middle)


def _terms(at: Floats, count: int) -> Floats:
    x, y = at[..., 0], at[..., 1]
    terms = np.empty((*x.shape, count))
    terms[..., 0], terms[..., 1], terms[..., 2] = 1.0, x, y
    if count > 3:
        terms[..., 3], terms[..., 4], terms[..., 5] = x * x, x * y, y * y
    return terms


def median(numbers: NDArray[np.floating[Any]], axis: int = -1) -> Any:
    """What ``numpy.median`` gives along an axis of floating-point numbers of which none is NaN: an array with an axis
    less, or a number; NaN where there are none. NumPy's takes three times as long, and loads its masked arrays first.
    """
    if numbers.shape[axis] == 0:
        return np.full(np.delete(numbers.shape, axis), np.nan)
    ordered = np.sort(numbers, axis=axis)
    count = ordered.shape[axis]
    return (ordered.take((count - 1) // 2, axis=axis) + ordered.take(count // 2, axis=axis)) / 2


def straight_line(x: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
    """Offsets (...) at x = 0 and slopes (...) of the lines through ``y`` (..., n) at ``x`` (n,); level where all places
    are one. By the closed form: a general solver takes many times as long for the few dozen points of an edge.
    """
    places, values = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    middle = places.mean()
    off = places - middle
    slope = np.asarray(values @ off / (off @ off or 1.0))
    return np.asarray(values.mean(axis=-1) - slope * middle), slope
