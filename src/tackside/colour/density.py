"""Reflection density, reflectance and CIE lightness.

Sources: ISO 5-4:2009 (reflection density, D = −log10 R); CIE 15:2018, 8.2.1.1, for L*. The link between
them takes R for the luminous reflectance Y (Y = 10^−D), as for a neutral sample read with visual weighting.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import EPSILON, KAPPA, Floats

# No reflection densitometer reads anywhere near 6: a smaller, zero or negative reflectance is noise, and
# counts as 10⁻⁶ so that no infinity travels on into records.
MAX_DENSITY = 6.0


def reflectance_to_density(reflectance: ArrayLike) -> Floats:
    """D = −log10 R (ISO 5-4), at most 6; ``reflectance`` is 1 for the perfect diffuser."""
    return np.asarray(-np.log10(np.maximum(np.asarray(reflectance, dtype=np.float64), 10**-MAX_DENSITY)))


def density_to_reflectance(density: ArrayLike) -> Floats:
    """R = 10^−D (ISO 5-4)."""
    return np.asarray(10.0 ** -np.asarray(density, dtype=np.float64))


def reflectance_to_lightness(reflectance: ArrayLike) -> Floats:
    """L* of the luminous reflectance Y, 1 for the perfect diffuser. CIE 15:2018, 8.2.1.1."""
    y = np.asarray(reflectance, dtype=np.float64)
    return np.where(y > EPSILON, 116 * np.cbrt(y) - 16, KAPPA * y)


def lightness_to_reflectance(lightness: ArrayLike) -> Floats:
    """Luminous reflectance Y of L*; the inverse of ``reflectance_to_lightness``."""
    values = np.asarray(lightness, dtype=np.float64)
    return np.where(values > 8, ((values + 16) / 116) ** 3, values / KAPPA)


def density_to_lightness(density: ArrayLike) -> Floats:
    """L* of a neutral of visual density D: D → Y = 10^−D → L*."""
    return reflectance_to_lightness(density_to_reflectance(density))


def lightness_to_density(lightness: ArrayLike) -> Floats:
    """Visual density of a neutral of lightness L*, at most 6."""
    return reflectance_to_density(lightness_to_reflectance(lightness))
