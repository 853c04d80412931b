"""From a camera's even colours to CIELAB, by a print whose colours are known and which lies in the same light.

Root-polynomials of a camera's numbers keep their ratios whatever the exposure (G. D. Finlayson, M. Mackiewicz and
A. Hurlbert, "Color correction using root-polynomial regression", IEEE Transactions on Image Processing 24, 2015). What
they leave over in CIELAB, inks of one kind share; a Gaussian process carries it from the known print's colours to near
ones (C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, equation 2.25). How many
terms, and whether with what is left over, is decided by colours that were left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab

Degree = Literal[1, 2, 3]
FOLDS = 8
# Of equal light terms: a share of the mean square of each term.
RIDGE = 1e-5
# Of what is left over: reach in cube-root units, ΔE*ab of one standard deviation, of a single colour's noise.
REACH, SPREAD, NOISE = 0.18, 2.0, 0.7
LEAST = 1e-4
FEWEST = 24  # known colours, for anything but a plain matrix


@dataclass(frozen=True, eq=False)
class ColourMap:
    """Camera's even numbers → CIELAB. ``held_out``: ΔE00 (n,) of the known colours, each told without itself."""

    degree: Degree
    matrix: Floats
    known: Floats
    left: Floats | None
    held_out: Floats

    @property
    def off(self) -> float:
        """Root mean square ΔE00 of the known colours left out in turn, far strays counted as 10."""
        return float(np.sqrt(np.mean(np.minimum(self.held_out, 10.0) ** 2)))

    def lab(self, numbers: Floats) -> Floats:
        """CIELAB D50 (n, 3) of linear camera numbers (n, 3)."""
        plain = _plain(numbers, self.matrix, self.degree)
        if self.left is None:
            return plain
        return np.asarray(plain + _kernel(numbers, self.known) @ self.left)


def fit_colours(numbers: Floats, lab: Floats) -> ColourMap:
    """By known colours: linear camera numbers (n, 3) and CIELAB (n, 3)."""
    ways: list[tuple[Degree, bool]] = [(1, False)]
    if len(numbers) >= FEWEST:
        ways += [(1, True), (2, False), (2, True), (3, False), (3, True)]
    errors = [_held_out(numbers, lab, degree, with_left) for degree, with_left in ways]
    best = int(np.argmin([_score(each) for each in errors]))
    degree, with_left = ways[best]
    matrix, left = _fitted(numbers, lab, degree, with_left)
    return ColourMap(degree, matrix, numbers, left, errors[best])


def _score(de00: Floats) -> float:
    """Mean square, with far strays counted as 8."""
    return float(np.mean(np.minimum(de00, 8.0) ** 2))


def _held_out(numbers: Floats, lab: Floats, degree: Degree, with_left: bool) -> Floats:
    found = np.zeros(len(lab))
    fold = (
        np.random.default_rng(0).permutation(len(lab)) % FOLDS
    )  # neighbours on the sheet must not go out together
    for number in range(FOLDS):
        out = fold == number
        if not out.any():
            continue
        matrix, left = _fitted(numbers[~out], lab[~out], degree, with_left)
        made = ColourMap(degree, matrix, numbers[~out], left, np.empty(0)).lab(numbers[out])
        found[out] = delta_e_2000(made, lab[out])
    return found


def _fitted(numbers: Floats, lab: Floats, degree: Degree, with_left: bool) -> tuple[Floats, Floats | None]:
    terms, xyz = _terms(numbers, degree), lab_to_xyz(lab)
    # d(cube root) = dX / (3 X^(2/3)): errors are weighed about as CIELAB weighs them.
    matrix = np.empty((terms.shape[1], 3))
    for band in range(3):
        weight = 1.0 / np.maximum(xyz[:, band], 0.01) ** (2.0 / 3.0)
        rows = terms * weight[:, None]
        ridge = np.diag(np.sqrt(RIDGE * (rows**2).sum(axis=0)))
        wanted = np.concatenate([xyz[:, band] * weight, np.zeros(terms.shape[1])])
        matrix[:, band] = np.linalg.lstsq(np.vstack([rows, ridge]), wanted, rcond=None)[0]
    if not with_left:
        return matrix, None
    off = lab - _plain(numbers, matrix, degree)
    gram = _kernel(numbers, numbers) + (NOISE / SPREAD) ** 2 * np.eye(len(numbers))
    return matrix, np.asarray(np.linalg.solve(gram, off))


def _plain(numbers: Floats, matrix: Floats, degree: Degree) -> Floats:
    return xyz_to_lab(np.maximum(_terms(numbers, degree) @ matrix, LEAST))


def _terms(numbers: Floats, degree: Degree) -> Floats:
    """Root-polynomial terms (n, 3, 6 or 13): table 1 of the paper; and a constant, for light from the surface."""
    r, g, b = np.maximum(numbers, LEAST).T
    found = [r, g, b]
    if degree >= 2:
        found += [np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)]
    if degree >= 3:
        found += [
            np.cbrt(r * g * g), np.cbrt(g * b * b), np.cbrt(r * b * b), np.cbrt(g * r * r), np.cbrt(b * g * g),
            np.cbrt(b * r * r), np.cbrt(r * g * b),
        ]  # fmt: skip
    return np.stack([*found, np.full_like(r, 0.1)], axis=-1)


def _kernel(one: Floats, other: Floats) -> Floats:
    """In cube roots of the numbers, which are nearly even to the eye."""
    a, b = (np.cbrt(np.maximum(each, LEAST)) for each in (one, other))
    apart = ((a[:, None] - b[None]) ** 2).sum(axis=-1)
    return np.asarray(np.exp(-0.5 * apart / REACH**2))
