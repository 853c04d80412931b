"""Colour differences: ΔE*ab (1976) and CIEDE2000.

Sources: CIE 15:2018, 8.2.1.3; ISO/CIE 11664-6, worked as in G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000
color-difference formula: implementation notes, supplementary test data, and mathematical observations",
Color Research and Application 30 (1), 2005, 21-30. Equation numbers are those of that paper.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import Floats

# Hues exactly opposite belong to the closed case of equations 10 and 14, but their difference, as computed,
# may fall a rounding error past 180° and jump to the other case: pairs 10 and 14 of the paper's table.
HALF_TURN = 180 + 1e-9


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """ΔE*ab: the straight distance between two CIELAB arrays (..., 3), shape (...)."""
    step = np.asarray(lab_1, dtype=np.float64) - np.asarray(lab_2, dtype=np.float64)
    return np.asarray(np.sqrt(np.sum(step * step, axis=-1)))


def delta_e_2000(
    lab_1: ArrayLike, lab_2: ArrayLike, *, kl: float = 1.0, kc: float = 1.0, kh: float = 1.0
) -> Floats:
    """CIEDE2000 between two CIELAB arrays (..., 3) that broadcast, shape (...).

    ``kl``, ``kc`` and ``kh`` weight lightness, chroma and hue; 1 each under the reference conditions.
    """
    one, two = np.broadcast_arrays(np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64))
    l1, l2 = one[..., 0], two[..., 0]
    c1, h1, c2, h2 = _chroma_and_hue(one, two)

    delta_l = l2 - l1  # (8)
    delta_c = c2 - c1  # (9)
    delta_hue = _hue_step(c1, h1, c2, h2)  # (10)
    delta_h = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(delta_hue) / 2)  # (11)

    mean_l = (l1 + l2) / 2  # (12)
    mean_c = (c1 + c2) / 2  # (13)
    mean_h = _mean_hue(c1, h1, c2, h2)  # (14)

    t = (  # (15)
        1
        - 0.17 * np.cos(np.radians(mean_h - 30))
        + 0.24 * np.cos(np.radians(2 * mean_h))
        + 0.32 * np.cos(np.radians(3 * mean_h + 6))
        - 0.20 * np.cos(np.radians(4 * mean_h - 63))
    )
    delta_theta = 30 * np.exp(-(((mean_h - 275) / 25) ** 2))  # (16)
    rc = 2 * np.sqrt(_saturation(mean_c))  # (17)
    sl = 1 + 0.015 * (mean_l - 50) ** 2 / np.sqrt(20 + (mean_l - 50) ** 2)  # (18)
    sc = 1 + 0.045 * mean_c  # (19)
    sh = 1 + 0.015 * mean_c * t  # (20)
    rt = -np.sin(np.radians(2 * delta_theta)) * rc  # (21)

    lightness, chroma, hue = delta_l / (kl * sl), delta_c / (kc * sc), delta_h / (kh * sh)
    squared = lightness**2 + chroma**2 + hue**2 + rt * chroma * hue  # (22)
    # The form is positive but for rounding: |R_T| stays below 2.
    return np.asarray(np.sqrt(np.maximum(squared, 0)))


def _chroma_and_hue(one: Floats, two: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """C′ and h′ (degrees, 0 to 360) of both colours: equations 2 to 7."""
    mean_c = (_length(one[..., 1], one[..., 2]) + _length(two[..., 1], two[..., 2])) / 2  # (2), (3)
    g = 0.5 * (1 - np.sqrt(_saturation(mean_c)))  # (4)
    a1, a2 = (1 + g) * one[..., 1], (1 + g) * two[..., 1]  # (5)
    c1, c2 = _length(a1, one[..., 2]), _length(a2, two[..., 2])  # (6)
    h1, h2 = _hue(a1, one[..., 2]), _hue(a2, two[..., 2])  # (7)
    return c1, h1, c2, h2


def _length(a: Floats, b: Floats) -> Floats:
    # Colours are far from the numbers that NumPy's own, ten times as slow, guards against.
    return np.asarray(np.sqrt(a * a + b * b))


def _hue(a: Floats, b: Floats) -> Floats:
    """Degrees, 0 to 360."""
    signed = np.degrees(np.arctan2(b, a))
    return np.where(signed < 0, signed + 360, signed)


def _saturation(chroma: Floats) -> Floats:
    """C^7 / (C^7 + 25^7), the power as products: NumPy's takes forty times as long."""
    cubed = chroma * chroma * chroma
    seventh = cubed * cubed * chroma
    return np.asarray(seventh / (seventh + 25.0**7))


def _hue_step(c1: Floats, h1: Floats, c2: Floats, h2: Floats) -> Floats:
    """Δh′ in degrees, from −180 to 180, zero where either colour is neutral: equation 10."""
    step = h2 - h1
    step = np.where(step > HALF_TURN, step - 360, np.where(step < -HALF_TURN, step + 360, step))
    return np.where(c1 * c2 == 0, 0.0, step)


def _mean_hue(c1: Floats, h1: Floats, c2: Floats, h2: Floats) -> Floats:
    """The mean hue in degrees along the shorter arc, the plain sum where either is neutral: equation 14."""
    total = h1 + h2
    far = np.where(total < 360, (total + 360) / 2, (total - 360) / 2)
    mean = np.where(np.abs(h1 - h2) <= HALF_TURN, total / 2, far)
    return np.where(c1 * c2 == 0, total, mean)
