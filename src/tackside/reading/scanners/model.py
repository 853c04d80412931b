"""Regression from what a scanner saw to the colours that are there.

Colours come as the scan's own profile has them. They are taken back to the scanner's linear channels (``primaries``),
straightened by an exponent for each channel (``tone``: a tone curve left in the scan), and then regressed:

- ``polynomial``: products of the channels up to ``degree``, to XYZ. G. Hong, M. R. Luo and P. A. Rhodes, "A study of
  digital camera colorimetric characterisation based on polynomial modelling", Color Research and Application
  26(1), 2001.
- ``root-polynomial``: the same products, each under the root of its degree, which keeps hues when the light
  changes. G. D. Finlayson, M. Mackiewicz and A. Hurlbert, "Color Correction Using Root-Polynomial Regression", IEEE
  Transactions on Image Processing 24(5), 2015, table I.
- ``lab-polynomial``: polynomials of the channels' cube roots, to CIELAB, which weighs errors as the eye does.
- ``table``: the best lab-polynomial of degree 1, and a thin-plate spline (polyharmonic, r; M. D. Buhmann, *Radial
  Basis Functions*, 2003) through what it leaves over, smoothed.

Rows of the XYZ regressions are weighted by the slope of CIELAB's cube root, so that one unit of error is about one
ΔE*ab anywhere. (Places typed from memory: docs/sources.md, S83.)
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
from tackside.records.scanner import ColourModel, ModelKind, Row

# Least light that a channel is taken to have seen: a tenth of what the deepest print reflects.
DARKEST = 1e-4


@dataclass(frozen=True)
class Recipe:
    """A kind of regression and its degree; ``smoothing`` counts for a table."""

    kind: ModelKind
    degree: int
    smoothing: float = 0.0

    @property
    def name(self) -> str:
        return f"{self.kind} {self.degree}" if self.kind != "table" else f"table {self.smoothing:g}"


# What cross-validation chooses among. Higher degrees have more terms than 125 patches can hold steady.
RECIPES = (
    Recipe("polynomial", 1),
    Recipe("polynomial", 2),
    Recipe("root-polynomial", 2),
    Recipe("root-polynomial", 3),
    Recipe("lab-polynomial", 1),
    Recipe("lab-polynomial", 2),
    Recipe("lab-polynomial", 3),
    Recipe("table", 1, 0.3),
    Recipe("table", 1, 3.0),
)


def channels_of(scan_lab: ArrayLike, primaries: Floats, tone: ArrayLike) -> Floats:
    """The scanner's linear channels (n, 3) for colours (n, 3) as its profile gave them."""
    linear = lab_to_xyz(np.asarray(scan_lab, dtype=float)) @ np.linalg.inv(primaries).T
    return np.asarray(np.maximum(linear, DARKEST) ** np.asarray(tone, dtype=float))


def products(channels: Floats, degree: int, *, rooted: bool) -> Floats:
    """All products of the channels (n, 3) of degree 1 to ``degree``; ``rooted``: each under its degree's root."""
    columns: list[Floats] = []
    for order in range(1, degree + 1):
        for chosen in combinations_with_replacement(range(channels.shape[1]), order):
            product = np.prod(channels[:, list(chosen)], axis=1)
            same = rooted and order > 1 and len(set(chosen)) == 1  # the root of a power is the channel again
            if not same:
                columns.append(product ** (1.0 / order) if rooted else product)
    return np.column_stack(columns)


def fit(
    scan_lab: Floats, true_lab: Floats, primaries: Floats, recipe: Recipe, tone: ArrayLike = (1.0, 1.0, 1.0)
) -> ColourModel:
    """The regression by ``recipe`` from (n, 3) CIELAB as scanned to (n, 3) CIELAB as measured."""
    tone_row = _row(np.asarray(tone, dtype=float))
    rows = (_row(primaries[0]), _row(primaries[1]), _row(primaries[2]))
    channels = channels_of(scan_lab, primaries, tone_row)
    terms: Floats
    if recipe.kind in ("polynomial", "root-polynomial"):
        terms = _weighted(_design(recipe.kind, recipe.degree, channels), lab_to_xyz(true_lab))
    else:
        solved, *_ = np.linalg.lstsq(_design(recipe.kind, recipe.degree, channels), true_lab, rcond=None)
        terms = np.asarray(solved, dtype=np.float64)
    model = ColourModel(
        kind=recipe.kind, degree=recipe.degree, primaries=rows, tone=tone_row, terms=_rows(terms)
    )
    if recipe.kind != "table":
        return model
    at: Floats = np.asarray(np.cbrt(channels), dtype=np.float64)
    left = true_lab - _design("table", recipe.degree, channels) @ terms
    kernel = _distance(at, at)
    # −r is conditionally positive definite of order 1: a constant, with weights that sum to none, makes it solvable.
    count = len(at)
    system = np.zeros((count + 1, count + 1))
    system[:count, :count] = -kernel + recipe.smoothing / 100.0 * np.eye(count)
    system[:count, count] = system[count, :count] = 1.0
    solved = np.asarray(np.linalg.solve(system, np.vstack([left, np.zeros(3)])), dtype=np.float64)
    shifted: Floats = np.array(terms, dtype=np.float64)
    shifted[0] += solved[count]  # the first column of the design is the constant
    return model.model_copy(
        update={
            "terms": _rows(shifted),
            "centres": _rows(at),
            "weights": _rows(np.asarray(solved[:count], dtype=np.float64)),
            "smoothing": recipe.smoothing,
        }
    )


def apply(model: ColourModel, scan_lab: ArrayLike) -> Floats:
    """CIELAB (n, 3) by the model of colours (n, 3) as scanned."""
    channels = channels_of(scan_lab, np.array(model.primaries), model.tone)
    sums = _design(model.kind, model.degree, channels) @ np.array(model.terms)
    if model.kind in ("polynomial", "root-polynomial"):
        sums = xyz_to_lab(np.maximum(sums, 0.0))
    elif model.kind == "table":
        sums = sums - _distance(np.cbrt(channels), np.array(model.centres)) @ np.array(model.weights)
    return np.column_stack([np.clip(sums[:, 0], 0.0, 110.0), sums[:, 1:]])


def straightened(scan_lab: Floats, true_lab: Floats, primaries: Floats) -> Row:
    """The exponent of each channel that lets a plain 3 × 3 matrix do best: the tone curve left in the scan.

    Nelder and Mead's simplex over the three exponents, the matrix solved within (variable projection).
    """
    from scipy.optimize import minimize

    def miss(exponents: Floats) -> float:
        model = fit(scan_lab, true_lab, primaries, Recipe("polynomial", 1), np.exp(exponents))
        return float(np.mean(np.sum((apply(model, scan_lab) - true_lab) ** 2, axis=1)))

    found = minimize(miss, np.zeros(3), method="Nelder-Mead", options={"xatol": 1e-3, "fatol": 1e-4})
    return _row(np.exp(np.clip(found.x, -1.0, 1.0)))


def _design(kind: ModelKind, degree: int, channels: Floats) -> Floats:
    if kind == "root-polynomial":
        return products(channels, degree, rooted=True)
    constant = np.ones((len(channels), 1))
    inner = channels if kind == "polynomial" else np.cbrt(channels)
    return np.hstack([constant, products(inner, degree, rooted=False)])


def _weighted(design: Floats, xyz: Floats) -> Floats:
    """Least squares for each of X, Y and Z, weighted by the slope of (X / Xn)^(1/3) there."""
    columns = []
    for band in range(3):
        weight = np.maximum(xyz[:, band] / WHITE_D50[band], 0.003) ** (-2.0 / 3.0)
        solved, *_ = np.linalg.lstsq(design * weight[:, None], xyz[:, band] * weight, rcond=None)
        columns.append(solved)
    return np.column_stack(columns)


def _distance(one: Floats, other: Floats) -> Floats:
    return np.asarray(np.sqrt(np.sum((one[:, None, :] - other[None, :, :]) ** 2, axis=-1)))


def _row(values: Floats) -> Row:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _rows(values: Floats) -> tuple[Row, ...]:
    return tuple(_row(value) for value in values)
