"""The loops of the fit: covariances between patches, the evidence for a set of lengths, sums over all patches.

Plain loops rather than a library of matrices: a few hundred patches are too few for threads of such a library to pay,
and on a busy computer they cost more than they bring. All of them let go of the interpreter's lock.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

ROOT_5 = float(np.sqrt(5.0))
END = (
    0.03  # how much of an axis' stretching function is cut off at each end, where it may be infinitely steep
)
LEVEL_VARIANCE = 100.0  # of the unknown mean level, in units of the colours' own variance: as good as free


@njit(cache=True, nogil=True, fastmath=True)
def bend(places: Any, bends: Any, out: Any, slopes: Any) -> None:
    """Device numbers (n, d) along axes that are stretched where the printer's colours change fast.

    u = 1 - (1 - x^a)^b (P. Kumaraswamy, Journal of Hydrology 46, 1980; docs/sources.md, S106), straight for a = b = 1;
    END of it is left out at each end. ``bends``: the logarithms of d values a, then of d values b. ``slopes``
    (2, n, d): of u by each of them.
    """
    n, axes = places.shape
    for axis in range(axes):
        a, b = np.exp(bends[axis]), np.exp(bends[axes + axis])
        for i in range(n):
            x = END + (1.0 - 2.0 * END) * min(max(places[i, axis], 0.0), 1.0)
            power = x**a
            left = 1.0 - power
            out[i, axis] = 1.0 - left**b
            slopes[0, i, axis] = a * b * left ** (b - 1.0) * power * np.log(x)
            slopes[1, i, axis] = -b * left**b * np.log(left)


@njit(cache=True, nogil=True, fastmath=True)
def covariance(one: Any, other: Any, theta: Any, out: Any) -> None:
    """Covariances (m, n) between bent places ``one`` (m, d) and ``other`` (n, d), the noise left out.

    A product over the axes of 1 + w k(distance / length), k being Matérn's function of order 5/2. ``theta``: the
    logarithms of d weights, of d lengths, of the amplitude and of the noise; then the bends.
    """
    axes = one.shape[1]
    scale = np.exp(2.0 * theta[2 * axes])
    weights, lengths = np.exp(theta[:axes]), np.exp(theta[axes : 2 * axes])
    for i in range(one.shape[0]):
        for j in range(other.shape[0]):
            product = scale
            for axis in range(axes):
                s = ROOT_5 * abs(one[i, axis] - other[j, axis]) / lengths[axis]
                product *= 1.0 + weights[axis] * (1.0 + s + s * s / 3.0) * np.exp(-s)
            out[i, j] = product + LEVEL_VARIANCE


@njit(cache=True, nogil=True, fastmath=True)
def evidence(places: Any, values: Any, spread: Any, theta: Any, slope: Any) -> float:
    """The negative logarithm of the evidence for ``theta``, and its ``slope`` by each of them, which it fills.

    ``places`` (n, d), not bent yet, ``values`` (n,), ``spread`` (n,): each patch's share of the noise variance.
    Infinity where the covariances cannot be decomposed. C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for
    Machine Learning, MIT Press, 2006, equations 5.8 and 5.9.
    """
    n, axes = places.shape
    scale = np.exp(2.0 * theta[2 * axes])
    noise = np.exp(2.0 * theta[2 * axes + 1])
    weights, lengths = np.exp(theta[:axes]), np.exp(theta[axes : 2 * axes])
    bent, slopes = np.empty((n, axes)), np.empty((2, n, axes))
    first_bend = 2 * axes + 2
    bend(places, theta[first_bend:], bent, slopes)
    smooth = np.empty((n, n))
    lower = np.empty((n, n))
    for i in range(n):
        for j in range(i + 1):
            product = scale
            for axis in range(axes):
                s = ROOT_5 * abs(bent[i, axis] - bent[j, axis]) / lengths[axis]
                product *= 1.0 + weights[axis] * (1.0 + s + s * s / 3.0) * np.exp(-s)
            smooth[i, j] = product
            lower[i, j] = product + LEVEL_VARIANCE
        lower[i, i] += noise * spread[i] + 1e-9
    if not _decompose(lower):
        return np.inf
    inverse = _inverted(lower)
    solved = np.zeros(n)
    for i in range(n):
        total = 0.0
        for j in range(n):
            total += inverse[i, j] * values[j]
        solved[i] = total
    value = 0.0
    for i in range(n):
        value += 0.5 * values[i] * solved[i] + np.log(lower[i, i])
    slope[:] = 0.0
    for i in range(n):
        for j in range(i + 1):
            share = 0.5 * (inverse[i, j] - solved[i] * solved[j])
            if i == j:
                slope[2 * axes + 1] += 2.0 * share * noise * spread[i]
            else:
                share *= 2.0
            push = share * smooth[i, j]
            slope[2 * axes] += 2.0 * push
            for axis in range(axes):
                apart = bent[i, axis] - bent[j, axis]
                s = ROOT_5 * abs(apart) / lengths[axis]
                fall = np.exp(-s)
                term = weights[axis] * (1.0 + s + s * s / 3.0) * fall
                slope[axis] += push * term / (1.0 + term)
                by_s = push * weights[axis] * (s * (1.0 + s) / 3.0) * fall / (1.0 + term)
                slope[axes + axis] += by_s * s
                by_place = -by_s * ROOT_5 / lengths[axis] if apart > 0.0 else by_s * ROOT_5 / lengths[axis]
                for kind in range(2):
                    change = slopes[kind, i, axis] - slopes[kind, j, axis]
                    slope[first_bend + kind * axes + axis] += by_place * change
    return value


@njit(cache=True, nogil=True, fastmath=True)
def _decompose(matrix: Any) -> bool:
    """Cholesky's factor in place of the lower half; False where the matrix is not positive definite."""
    n = matrix.shape[0]
    for i in range(n):
        for j in range(i + 1):
            total = matrix[i, j]
            for k in range(j):
                total -= matrix[i, k] * matrix[j, k]
            if i == j:
                if not total > 0.0:
                    return False
                matrix[i, i] = np.sqrt(total)
            else:
                matrix[i, j] = total / matrix[j, j]
    return True


@njit(cache=True, nogil=True, fastmath=True)
def _inverted(lower: Any) -> Any:
    """The inverse of the matrix whose Cholesky factor is ``lower``."""
    n = lower.shape[0]
    turned = np.zeros((n, n))  # the transpose of the factor's inverse: row j holds its column j
    for j in range(n):
        turned[j, j] = 1.0 / lower[j, j]
        for i in range(j + 1, n):
            total = 0.0
            for k in range(j, i):
                total -= lower[i, k] * turned[j, k]
            turned[j, i] = total / lower[i, i]
    out = np.empty((n, n))
    for i in range(n):
        for j in range(i + 1):
            total = 0.0
            for k in range(i, n):
                total += turned[i, k] * turned[j, k]
            out[i, j] = total
            out[j, i] = total
    return out


@njit(cache=True, nogil=True, fastmath=True)
def inverse(matrix: Any) -> Any:
    """The inverse of a positive definite matrix (n, n), of which the lower half is read and overwritten; else nothing
    but NaN."""
    if not _decompose(matrix):
        return np.full_like(matrix, np.nan)
    return _inverted(matrix)


@njit(cache=True, nogil=True, fastmath=True)
def gather(factors: Any, levels: Any, weights: Any, scale: float, out: Any) -> None:
    """Sums over the patches: ``out`` (m,) of products of ``factors`` (axes, levels, n) at ``levels`` (m, axes)."""
    axes, n = factors.shape[0], factors.shape[2]
    for i in range(levels.shape[0]):
        total = 0.0
        for k in range(n):
            product = weights[k]
            for axis in range(axes):
                product *= factors[axis, levels[i, axis], k]
            total += product
        out[i] = scale * total
