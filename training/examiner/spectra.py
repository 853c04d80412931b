"""Reflectance in 31 bands: to XYZ under D50 for the 2° observer, and back to a spectrum that an ink print may have.

Weights: ASTM E2022 by ``tackside.colour.spectral`` (CIE 15 tables of observer and D50). The way back has one answer
among infinitely many; here it is the likeliest one of a normal distribution of printed spectra whose XYZ is exactly the
one given (conditional mean of a normal distribution; N. Shimano, "Recovery of spectral reflectances of objects being
imaged without prior knowledge", IEEE Transactions on Image Processing 15, 2006, for its use with colours).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.colour.spectral import tristimulus_weights

FIRST_NM, STEP_NM, BANDS = 400.0, 10.0, 31
WAVELENGTHS: Floats = np.arange(BANDS, dtype=np.float64) * STEP_NM + FIRST_NM
WEIGHTS: Floats = tristimulus_weights(FIRST_NM, STEP_NM, BANDS)
# No surface of a print reflects less or, with a brightener, more.
LEAST, MOST = 0.002, 1.15


def to_xyz(reflectance: Floats) -> Floats:
    """XYZ (..., 3), Y = 1 for the perfect diffuser, of reflectance (..., 31)."""
    return np.asarray(reflectance @ WEIGHTS)


@dataclass(frozen=True, eq=False)
class Likely:
    """A normal distribution of reflectances: ``mean`` (31,) and ``covariance`` (31, 31)."""

    mean: Floats
    covariance: Floats

    @classmethod
    def of(cls, samples: Floats) -> Likely:
        """Of sampled spectra (n, 31), with a little room for others, smooth over some 50 nm."""
        apart = (WAVELENGTHS[:, None] - WAVELENGTHS[None]) / 50.0
        room = 0.02**2 * np.exp(-0.5 * apart**2) + 1e-8 * np.eye(BANDS)
        return cls(samples.mean(axis=0), np.cov(samples, rowvar=False) + room)

    def spectra(self, xyz: Floats) -> Floats:
        """Reflectance (n, 31) with these XYZ (n, 3); clipped to what surfaces show, which moves XYZ a little."""
        across = self.covariance @ WEIGHTS
        gain = np.linalg.solve(WEIGHTS.T @ across, across.T)
        return np.clip(self.mean + (xyz - self.mean @ WEIGHTS) @ gain, LEAST, MOST)
