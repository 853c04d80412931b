"""A smooth map through scattered measurements: polyharmonic splines, chosen by leaving each patch out in turn.

The spline is a sum of kernels of the distance to each patch, plus a plane, and bends as little as the data
allow (J. Duchon, "Splines minimizing rotation-invariant semi-norms in Sobolev spaces", 1977). A smoothing term
on the diagonal lets it pass beside noisy patches. Leave-one-out residuals come in closed form from the one
fit (S. Rippa, Advances in Computational Mathematics 11, 1999; G. Wahba, Spline Models for Observational Data,
SIAM, 1990, for the smoothed case). Places typed from memory: docs/sources.md, S99.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats

# Each by the square of a distance: -r, r² log r, r³. Signs make each positive on what a plane cannot hold, so that a
# smoothing term adds to it.
KERNELS: dict[str, Callable[[Floats], Floats]] = {
    "linear": lambda square: -np.sqrt(square),
    "thin plate": lambda square: 0.5 * square * np.log(np.maximum(square, 1e-300)),
    "cubic": lambda square: square * np.sqrt(square),
}
SMOOTHINGS = (0.0, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 1e-1)
MOST_TO_CHOOSE = 400
ROOM = 1 << 16  # squares of distances worked at a time: half a megabyte


@dataclass(frozen=True, eq=False)
class Polyharmonic:
    """A spline from ``points`` (n, d) by or near ``lab`` (n, 3), its kernel and smoothing chosen by ``left_out``.

    ``left_out`` (n,): ΔE00 of each point, predicted from all the others.
    """

    points: Floats
    lab: Floats
    kernel: str
    smoothing: float
    left_out: Floats

    def at(self, places: ArrayLike) -> Floats:
        """CIELAB (m, 3) at ``places`` (m, d)."""
        wanted = np.asarray(places, dtype=np.float64)
        found = _plane_terms(wanted) @ self._weights[len(self.points) :]
        rows = max(1, ROOM // len(self.points))
        for top in range(0, len(wanted), rows):
            part = slice(top, top + rows)
            kernels = KERNELS[self.kernel](_squares(wanted[part], self.points))
            found[part] += kernels @ self._weights[: len(self.points)]
        return np.asarray(found)

    @cached_property
    def _weights(self) -> Floats:
        """Of each kernel, then of the plane's terms, (n + d + 1, 3)."""
        system = _system(self.points, self.kernel, self.smoothing)
        wanted = np.zeros((len(system), 3))
        wanted[: len(self.lab)] = self.lab
        return np.asarray(np.linalg.solve(system, wanted))


def fit_polyharmonic(points: ArrayLike, lab: ArrayLike) -> Polyharmonic:
    """The spline through ``points`` (n, d), all different, with colours ``lab`` (n, 3).

    Kernel and smoothing are those with the least mean ΔE00 over the patches, each predicted from the others (of a
    large chart, over a part of MOST_TO_CHOOSE). Needs more points than a plane has terms, d + 1, not all in one
    plane; raises ValueError otherwise.
    """
    at, colours = np.asarray(points, dtype=np.float64), np.asarray(lab, dtype=np.float64)
    part = np.arange(len(at))
    if len(at) > MOST_TO_CHOOSE:
        # A fixed shuffle: charts are often in order, and every n-th patch of one may lie in one plane.
        part = np.random.default_rng(1).permutation(len(at))[:MOST_TO_CHOOSE]
    terms = _plane_terms(at[part])
    if len(terms) <= terms.shape[1] or np.linalg.matrix_rank(terms) < terms.shape[1]:
        raise ValueError("too few points, or all in one plane")
    kernel, smoothing = _choose(at[part], colours[part])
    return Polyharmonic(at, colours, kernel, smoothing, _left_out(at, colours, kernel, smoothing))


def _choose(at: Floats, colours: Floats) -> tuple[str, float]:
    """Kernel and smoothing; one eigendecomposition a kernel serves all smoothings and all patches left out."""
    terms = _plane_terms(at)
    rest = np.linalg.qr(terms, mode="complete").Q[:, terms.shape[1] :]  # what no plane can hold
    apart = _squares(at, at)
    scores: dict[tuple[str, float], float] = {}
    for name, kernel in KERNELS.items():
        values, vectors = np.linalg.eigh(rest.T @ kernel(apart) @ rest)
        spread = rest @ vectors
        turned, squares = spread.T @ colours, spread * spread
        for smoothing in SMOOTHINGS:
            inverse = 1 / (np.maximum(values, 1e-12) + smoothing)
            residual = (spread @ (inverse[:, None] * turned)) / (squares @ inverse)[:, None]
            scores[name, smoothing] = float(delta_e_2000(colours, colours - residual).mean())
    return min(scores, key=lambda choice: scores[choice])


def _left_out(at: Floats, colours: Floats, kernel: str, smoothing: float) -> Floats:
    """ΔE00 of each point, predicted from all the others."""
    count = len(at)
    inverse = np.linalg.inv(_system(at, kernel, smoothing))[:count, :count]
    residual = (inverse @ colours) / np.diag(inverse)[:, None]
    return delta_e_2000(colours, colours - residual)


def _system(at: Floats, kernel: str, smoothing: float) -> Floats:
    """What kernels and plane add up to at each point; the kernels hold nothing that a plane can, (n + d + 1) square."""
    terms = _plane_terms(at)
    count = len(at)
    system = np.zeros((count + terms.shape[1],) * 2)
    system[:count, :count] = KERNELS[kernel](_squares(at, at)) + smoothing * np.eye(count)
    system[:count, count:], system[count:, :count] = terms, terms.T
    return system


def _plane_terms(points: Floats) -> Floats:
    return np.column_stack([np.ones(len(points)), points])


def _squares(one: Floats, other: Floats) -> Floats:
    """Of the distances between each of (m, d) and each of (n, d), (m, n)."""
    squares = np.zeros((len(one), len(other)))
    for axis in range(one.shape[1]):
        steps = one[:, axis, None] - other[:, axis]
        squares += np.multiply(steps, steps, out=steps)
    return squares
