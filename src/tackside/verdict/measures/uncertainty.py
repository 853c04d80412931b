"""How far each figure can be trusted: one standard uncertainty of lightness, chroma and their kin.

Two parts add in squares (GUM, JCGM 100:2008, 5.1.2): what all patches share (the instrument's or scanner's
own deviation, given in ΔE00) and what is each patch's own (its spread over repeats or over its area, in
ΔE*ab). Nothing is known of their direction in colour, so a third of the variance falls to each of lightness,
chroma and hue.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.density import lightness_to_density
from tackside.verdict.measures.patch_table import Floats

AXES = float(np.sqrt(3))


def lightness_weight(lightness: ArrayLike) -> Floats:
    """S_L of CIEDE2000 (ISO/CIE 11664-6): ΔL* that one ΔE00 stands for at this lightness."""
    away = (np.asarray(lightness, dtype=float) - 50) ** 2
    return np.asarray(1 + 0.015 * away / np.sqrt(20 + away))


def chroma_weight(chroma: ArrayLike) -> Floats:
    """S_C of CIEDE2000: ΔC*ab that one ΔE00 stands for at this chroma."""
    return np.asarray(1 + 0.045 * np.asarray(chroma, dtype=float))


def lightness_sd(lightness: ArrayLike, noise: ArrayLike, de00: float) -> Floats:
    """One sd of L*, from a patch's own ``noise`` in ΔE*ab and the shared ``de00``."""
    return np.asarray(np.hypot(de00 * lightness_weight(lightness), noise) / AXES)


def chroma_sd(chroma: ArrayLike, noise: ArrayLike, de00: float) -> Floats:
    """One sd of C*ab (or of a* or b*, for a neutral), likewise."""
    return np.asarray(np.hypot(de00 * chroma_weight(chroma), noise) / AXES)


def density_sd(lightness: float, sd: float) -> float:
    """One sd of the visual density of a neutral, by the slope of D over L* at this lightness."""
    step = 0.01
    low, high = max(lightness - step, 0.05), max(lightness - step, 0.05) + 2 * step
    slope = float(lightness_to_density(high) - lightness_to_density(low)) / (2 * step)
    return abs(slope) * sd
