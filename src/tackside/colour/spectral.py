"""From a reflectance spectrum to XYZ under D50 for the 2° observer.

Sources: ASTM E308 (weighted sums, and what to do where a spectrum stops short); ASTM E2022 (weights for any
interval, by Lagrange interpolation of the spectrum to 1 nm); ISO 13655 asks for D50 and the 2° observer. The
two standard tables lie in ``data/`` with their origin.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.errors import BadInstrumentFile

FIRST_NM, LAST_NM = 360, 780  # the range of the weights that ASTM E308 prints
WIDEST_STEP_NM = 20.0  # ASTM E308 has no weights for wider intervals


def _table(name: str) -> Floats:
    text = files("tackside.colour").joinpath("data", name).read_text(encoding="ascii")
    return np.array([[float(cell) for cell in row.split(",")] for row in text.splitlines()[1:]])


@lru_cache(maxsize=1)
def tristimulus_sums() -> tuple[Floats, Floats]:
    """Wavelengths 360 to 780 nm by 1 nm, and k · S(λ) · x̄, ȳ, z̄ there (n, 3), so that Y sums to 1.

    CIE 15:2018, 7.1. D50 between its 5 nm values is linear, as CIE 15 recommends.
    """
    observer, light = _table("cie_1931_2_degree.csv"), _table("cie_d50.csv")
    used = observer[(observer[:, 0] >= FIRST_NM) & (observer[:, 0] <= LAST_NM)]
    power = np.interp(used[:, 0], light[:, 0], light[:, 1])
    products = power[:, None] * used[:, 1:]
    return used[:, 0], products / products[:, 1].sum()


def spectral_white() -> Floats:
    """XYZ of the perfect diffuser by the sums used here: 0.9642, 1, 0.8251, as CIE 15 prints for D50."""
    return np.asarray(tristimulus_sums()[1].sum(axis=0))


def tristimulus_weights(start_nm: float, step_nm: float, count: int) -> Floats:
    """Weights (count, 3) for a spectrum at ``start_nm``, ``start_nm + step_nm`` and so on.

    The spectrum between its points is a cubic through four neighbours, a parabola in the first and last
    interval (ASTM E2022). Weights of points that the spectrum lacks at either end are added to its first and
    last point (ASTM E308); points beyond 360 to 780 nm weigh nothing.
    """
    wavelengths, products = tristimulus_sums()
    before = max(0, int(np.ceil((start_nm - FIRST_NM) / step_nm)))
    after = max(0, int(np.ceil((LAST_NM - (start_nm + step_nm * (count - 1))) / step_nm)))
    nodes = count + before + after
    first = start_nm - before * step_nm
    weights = np.zeros((nodes, 3))
    position = (wavelengths - first) / step_nm
    interval = np.clip(np.floor(position).astype(int), 0, nodes - 2)
    for left in range(nodes - 1):
        inside = interval == left
        start, size = _stencil(left, nodes)
        weights[start : start + size] += _lagrange(position[inside] - start, size).T @ products[inside]
    weights[before] += weights[:before].sum(axis=0)
    weights[before + count - 1] += weights[before + count :].sum(axis=0)
    return weights[before : before + count]


def _stencil(left: int, nodes: int) -> tuple[int, int]:
    """First node and number of nodes of the curve over the interval that begins at node ``left``."""
    if nodes < 3:
        return 0, nodes
    if left == 0:
        return 0, 3
    if left == nodes - 2:
        return nodes - 3, 3
    return left - 1, 4


def _lagrange(at: Floats, size: int) -> Floats:
    """Lagrange coefficients (n, size) of nodes 0, 1, … size − 1 at the positions ``at`` (n,)."""
    columns = []
    for node in range(size):
        others = [other for other in range(size) if other != node]
        terms = [(at - other) / (node - other) for other in others]
        columns.append(np.prod(terms, axis=0) if terms else np.ones_like(at))
    return np.stack(columns, axis=-1)


def spectra_to_xyz(spectra: ArrayLike, wavelengths: ArrayLike) -> Floats:
    """XYZ (..., 3) under D50 for the 2° observer, Y = 1 for the perfect diffuser.

    ``spectra`` (..., n) are reflectance factors, 1 for the perfect diffuser, at ``wavelengths`` (n,) in nm,
    evenly spaced, rising, at most 20 nm apart. Raises BadInstrumentFile where the wavelengths cannot serve.
    """
    start, step, count = _regular_grid(np.asarray(wavelengths, dtype=np.float64))
    values = np.asarray(spectra, dtype=np.float64)
    if values.ndim == 0 or values.shape[-1] != count:
        have = values.shape[-1] if values.ndim else 1
        raise BadInstrumentFile("colour.spectrum-length", count=have, wavelengths=count)
    return np.asarray(values @ tristimulus_weights(start, step, count))


def spectra_to_lab(spectra: ArrayLike, wavelengths: ArrayLike) -> Floats:
    """CIELAB (..., 3) of reflectance spectra; white is the perfect diffuser by the same sums."""
    return xyz_to_lab(spectra_to_xyz(spectra, wavelengths), spectral_white())


def _regular_grid(wavelengths: Floats) -> tuple[float, float, int]:
    """Start, step and count of evenly spaced wavelengths, or BadInstrumentFile."""
    if wavelengths.ndim != 1 or wavelengths.size < 3 or not np.all(np.isfinite(wavelengths)):
        raise BadInstrumentFile("colour.too-few-wavelengths")
    step = float(wavelengths[-1] - wavelengths[0]) / (wavelengths.size - 1)
    if step <= 0 or np.max(np.abs(np.diff(wavelengths) - step)) > 1e-3 * step:
        raise BadInstrumentFile("colour.wavelengths-uneven")
    if not 0.1 <= step <= WIDEST_STEP_NM + 1e-6:
        raise BadInstrumentFile("colour.wavelengths-far-apart", step_nm=step)
    if wavelengths[0] > 420 or wavelengths[-1] < 680:
        raise BadInstrumentFile(
            "colour.wavelengths-short", from_nm=float(wavelengths[0]), to_nm=float(wavelengths[-1])
        )
    return float(wavelengths[0]), step, int(wavelengths.size)
