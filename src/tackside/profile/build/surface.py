"""The printer's colours as a smooth surface over its numbers, fitted to patches: stiff where the noise asks for it.

Each of L*, a* and b* is taken for a Gaussian process (C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for
Machine Learning, MIT Press, 2006; docs/sources.md, S106). Its covariance is a product over the axes, 1 + w k, so
that each ink may act alone and with others, by as much and as smoothly as the patches show. For RGB there is a fourth
axis, the largest of the three numbers: drivers begin with black ink where the least of cyan, magenta and yellow rises,
which makes a crease across the cube that no smooth function of R, G and B alone can follow. Each axis is stretched
where colours change fast along it (``kernels.bend``).

Weights and lengths are those with the greatest evidence; the noise is drawn to what repeats show. How stiff the
surface is in the end is chosen by cross-validation: each patch is predicted from all others, in closed form.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.profile.build import kernels

MOST_TO_CHOOSE = 300  # patches by which lengths are chosen: more change the result by less than the noise
MOST_TO_VALIDATE = 400
LONGEST_SEARCH = 40
BENDS_EXPECTED = 0.5  # one standard deviation of the logarithms of the axes' bends
STIFFNESSES = (0.5, 0.7, 1.0, 1.4, 2.0)  # times the noise
AT_A_TIME = 2048  # places


@dataclass(frozen=True, eq=False)
class SurfacePart:
    """One of L*, a*, b*: ``theta`` as ``kernels.covariance`` takes it, ``weights`` of patches at ``bent`` (n, d)."""

    theta: Floats
    bent: Floats
    weights: Floats
    mean: float
    scale: float


@dataclass(frozen=True, eq=False)
class ColourSurface:
    """CIELAB over device numbers. ``points`` (n, d), lifted, and ``parts`` for L*, a*, b*.

    ``left_out`` (n, 3): each patch's CIELAB as predicted from all others; ``doubt`` (n, 3) the standard deviation
    of that prediction, noise included. ``noise`` (3,): one standard deviation of a single patch. ``stiffness``: what
    the noise was multiplied with in the end.
    """

    points: Floats
    parts: tuple[SurfacePart, ...]
    left_out: Floats
    doubt: Floats
    noise: Floats
    stiffness: float

    def at(self, device: ArrayLike) -> Floats:
        """CIELAB (m, 3) of device numbers (m, channels), 0 to 1."""
        places = lifted(np.asarray(device, dtype=np.float64))
        out = np.empty((len(places), 3))

        def work(task: tuple[int, int]) -> None:
            start, number = task
            rows = slice(start, start + AT_A_TIME)
            out[rows, number] = self._summed(places[rows], self.parts[number])

        starts = range(0, len(places), AT_A_TIME)
        with ThreadPoolExecutor(2) as threads:
            list(threads.map(work, [(start, number) for start in starts for number in range(3)]))
        return out

    def _summed(self, places: Floats, part: SurfacePart) -> Floats:
        axes = places.shape[1]
        levels = [np.unique(places[:, axis], return_inverse=True) for axis in range(axes)]
        factors = np.ones((axes, max(len(values) for values, _ in levels), len(self.points)))
        for axis, (values, _) in enumerate(levels):
            bent = _bent(values[:, None], part.theta[[2 * axes + 2 + axis, 3 * axes + 2 + axis]])
            s = kernels.ROOT_5 * np.abs(bent - part.bent[:, axis]) / np.exp(part.theta[axes + axis])
            factors[axis, : len(values)] += np.exp(part.theta[axis]) * (1 + s + s * s / 3) * np.exp(-s)
        out = np.empty(len(places))
        numbers = np.column_stack([number.reshape(-1) for _, number in levels])
        kernels.gather(factors, numbers, part.weights, float(np.exp(2 * part.theta[2 * axes])), out)
        level = kernels.LEVEL_VARIANCE * part.weights.sum()
        return np.asarray(part.mean + part.scale * (out + level))


def lifted(device: Floats) -> Floats:
    """Device numbers with the axes that the fit takes beside them: for RGB the largest number, for CMYK none."""
    return np.column_stack([device, device.max(axis=1)]) if device.shape[1] == 3 else device


def fit_surface(
    device: Floats, lab: Floats, spread: Floats, noise: Floats, *, sure_of_noise: float
) -> ColourSurface:
    """The surface of patches ``device`` (n, channels), all different, with colours ``lab`` (n, 3).

    ``spread`` (n,): each patch's noise variance as a share of that of one plain reading. ``noise`` (3,): one standard
    deviation of a plain reading in L*, a*, b*; ``sure_of_noise`` that of its logarithm (0.1 where many repeats
    were read, 1 where it is a guess).
    """
    points = lifted(device)
    chosen = _some(len(points), MOST_TO_CHOOSE)
    scaled = [_scaled(lab[:, number]) for number in range(3)]

    def search(number: int) -> Floats:
        mean, scale = scaled[number]
        values = (lab[chosen, number] - mean) / scale
        return _lengths(points[chosen], values, spread[chosen], float(noise[number]) / scale, sure_of_noise)

    with ThreadPoolExecutor(2) as threads:
        thetas = list(threads.map(search, range(3)))
    stiffness = _stiffness(points, lab, spread, thetas, scaled)
    return _solved(points, lab, spread, thetas, scaled, stiffness)


def refitted(surface: ColourSurface, device: Floats, lab: Floats, spread: Floats) -> ColourSurface:
    """A surface through other patches, its lengths and stiffness those of ``surface``."""
    scaled = [(part.mean, part.scale) for part in surface.parts]
    thetas = [part.theta for part in surface.parts]
    return _solved(lifted(device), lab, spread, thetas, scaled, surface.stiffness)


def _scaled(values: Floats) -> tuple[float, float]:
    return float(values.mean()), max(float(values.std()), 1e-3)


def _some(count: int, most: int) -> NDArray[np.intp]:
    """Up to ``most`` rows by a fixed shuffle: charts are often in order."""
    return np.sort(np.random.default_rng(1).permutation(count)[:most])


def _lengths(points: Floats, values: Floats, spread: Floats, noise: float, sure_of_noise: float) -> Floats:
    """Weights, lengths, amplitude and noise with the greatest evidence, mild expectations of them included."""
    from scipy.optimize import minimize  # slow to import: kept off the start-up path

    axes = points.shape[1]
    straight = np.zeros(2 * axes)
    expected = np.concatenate([np.zeros(axes), np.full(axes, 0.3), [0.0, np.log(noise)], straight])
    width = np.concatenate(
        [np.full(axes, 3.0), np.ones(axes), [3.0, sure_of_noise], straight + BENDS_EXPECTED]
    )
    start = expected.copy()
    start[3:axes] = -3.0 if axes == 4 and _is_lifted(points) else 0.0  # no crease until the patches show one
    slope = np.empty(len(start))

    def cost(theta: Floats) -> tuple[float, Floats]:
        off = (theta - expected) / width
        value = kernels.evidence(points, values, spread, theta, slope)
        if not np.isfinite(value):
            return 1e6 + float(off @ off), off / width
        return value + 0.5 * float(off @ off), slope + off / width

    found = minimize(cost, start, jac=True, method="L-BFGS-B", options={"maxiter": LONGEST_SEARCH})
    return np.asarray(found.x)


def _is_lifted(points: Floats) -> bool:
    return bool(np.array_equal(points[:, 3], points[:, :3].max(axis=1)))


def _bent(points: Floats, bends: Floats) -> Floats:
    out = np.empty_like(points)
    kernels.bend(points, bends, out, np.empty((2, *points.shape)))
    return out


def _left_out(
    bent: Floats, values: Floats, spread: Floats, theta: Floats, stiffness: float
) -> tuple[Floats, Floats, Floats]:
    """Each patch's weight in the surface, how far it lies off what the others foretell, and the doubt in that.

    In closed form: Rasmussen and Williams, equations 5.10 to 5.12.
    """
    matrix = np.empty((len(bent), len(bent)))
    kernels.covariance(bent, bent, theta, matrix)
    matrix[np.diag_indices(len(bent))] += (
        np.exp(2 * theta[2 * bent.shape[1] + 1]) * stiffness**2 * spread + 1e-9
    )
    inverse = kernels.inverse(matrix)
    if not np.isfinite(inverse[0, 0]):
        raise ValueError("the patches' covariances are not positive definite")
    weights, diagonal = inverse @ values, np.diag(inverse)
    return np.asarray(weights), np.asarray(weights / diagonal), np.asarray(1 / np.sqrt(diagonal))


def _stiffness(
    points: Floats,
    lab: Floats,
    spread: Floats,
    thetas: Sequence[Floats],
    scaled: Sequence[tuple[float, float]],
) -> float:
    """What to multiply the noise with, so that patches are best predicted from all others (ΔE00, mean)."""
    rows = _some(len(points), MOST_TO_VALIDATE)

    def score(stiffness: float) -> float:
        off = np.empty((len(rows), 3))
        for number, (theta, (mean, scale)) in enumerate(zip(thetas, scaled, strict=True)):
            values = (lab[rows, number] - mean) / scale
            bent = _bent(points[rows], theta[2 * points.shape[1] + 2 :])
            off[:, number] = scale * _left_out(bent, values, spread[rows], theta, stiffness)[1]
        return float(delta_e_2000(lab[rows], lab[rows] - off).mean())

    with ThreadPoolExecutor(2) as threads:
        scores = list(threads.map(score, STIFFNESSES))
    return STIFFNESSES[int(np.argmin(scores))]


def _solved(
    points: Floats,
    lab: Floats,
    spread: Floats,
    thetas: Sequence[Floats],
    scaled: Sequence[tuple[float, float]],
    stiffness: float,
) -> ColourSurface:
    def solve(number: int) -> tuple[SurfacePart, Floats, Floats]:
        (mean, scale), theta = scaled[number], thetas[number]
        bent = _bent(points, theta[2 * points.shape[1] + 2 :])
        weights, off, doubt = _left_out(bent, (lab[:, number] - mean) / scale, spread, theta, stiffness)
        return SurfacePart(theta, bent, weights, mean, scale), lab[:, number] - scale * off, scale * doubt

    with ThreadPoolExecutor(2) as threads:
        parts, predicted, doubt = zip(*threads.map(solve, range(3)), strict=True)
    noise = np.array([np.exp(part.theta[2 * points.shape[1] + 1]) * part.scale for part in parts])
    return ColourSurface(points, parts, np.column_stack(predicted), np.column_stack(doubt), noise, stiffness)
