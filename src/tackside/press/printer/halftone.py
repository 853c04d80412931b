"""Halftone colour: how ink that covers part of the paper adds up.

Sources, in the order in which they are used (docs/sources.md, S80; places and years typed from memory):

- tone value increase as a parabola, a plain stand-in for measured curves (common practice; docs/sources.md, S57);
- M. E. Demichel, "Le procédé", 26, 1924: how much of the paper each overprint covers;
- H. E. J. Neugebauer, "Die theoretischen Grundlagen des Mehrfarbendruckes", Zeitschrift für wissenschaftliche
  Photographie 36, 1937: the overprints' light adds up by area;
- A. Murray, "Monochrome reproduction in photoengraving", Journal of the Franklin Institute 221, 1936 (with
  Davies): the same for one ink;
- J. A. C. Yule and W. J. Nielsen, "The penetration of light into paper and its effect on halftone
  reproduction", TAGA Proceedings 3, 1951: the exponent n for the light that spreads inside the paper.

Three broad bands (X, Y and Z) stand for the spectrum; a spectral model would be finer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Each overprint's inks as bits: 1 cyan, 2 magenta, 4 yellow, 8 black. Overprint 0 is bare paper.
OVERPRINTS = 16
_HAS_INK = np.array([[bool(number >> ink & 1) for ink in range(4)] for number in range(OVERPRINTS)])


def effective_tone(tone: ArrayLike, increase_at_half: float) -> Floats:
    """The tone value on the paper for the tone value asked for, both 0 to 1: a + 4 g a (1 − a).

    ``increase_at_half`` is g, the increase at a tone of 0.5; the curve is monotone for −0.25 ≤ g ≤ 0.25.
    """
    a = np.asarray(tone, dtype=np.float64)
    return np.asarray(a + 4.0 * increase_at_half * a * (1.0 - a))


def demichel(cmyk: ArrayLike) -> Floats:
    """Share of paper under each overprint, (..., 16), sum 1, for tones ``cmyk`` (..., 4), 0 to 1."""
    tones = np.asarray(cmyk, dtype=np.float64)[..., np.newaxis, :]
    part = np.where(_HAS_INK, tones, 1.0 - tones)
    return np.asarray(part[..., 0] * part[..., 1] * part[..., 2] * part[..., 3])


def yule_nielsen_neugebauer(cmyk: ArrayLike, overprints_xyz: ArrayLike, n: float) -> Floats:
    """XYZ (..., 3) of tones ``cmyk`` (..., 4): R = (Σ w_i R_i^(1/n))^n over the 16 overprints (16, 3).

    ``n`` = 1 is Neugebauer's own sum (and Murray and Davies' for one ink); n grows with the spread of light.
    """
    roots = np.asarray(overprints_xyz, dtype=np.float64) ** (1.0 / n)
    return np.asarray((demichel(cmyk) @ roots) ** n)


def murray_davies(tone: ArrayLike, solid: ArrayLike, paper: ArrayLike) -> Floats:
    """Reflectance of one ink's tone: R = a R_solid + (1 − a) R_paper."""
    a = np.asarray(tone, dtype=np.float64)
    return np.asarray(a * np.asarray(solid) + (1.0 - a) * np.asarray(paper))
