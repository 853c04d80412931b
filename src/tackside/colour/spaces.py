"""CIE XYZ, CIELAB and its polar form, all under D50 for the 2° observer unless told otherwise; and what a colour
under one white becomes under another (linear Bradford).

Source: CIE 15:2018, Colorimetry, 8.2.1 and its annex on the reverse transformation; ISO/CIE 11664-4. The
constants are exact fractions, so that both branches of the function meet. Chromatic adaptation: ISO 15076-1, annex E
(the matrix E.1 and the scaling of the cone-like responses).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# ISO 15076-1: the D50 of the profile connection space. ISO 13655 writes 0.96422, 1, 0.82521, which moves b*
# of a white by 0.025, below what an instrument can tell: one white serves measurements and profiles alike.
WHITE_D50: Floats = np.array([0.9642, 1.0, 0.8249])
WHITE_D50.flags.writeable = False

EPSILON = 216 / 24389  # (6/29)³
KAPPA = 24389 / 27  # (29/3)³

BRADFORD: Floats = np.array(
    [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ]
)
BRADFORD.flags.writeable = False


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = WHITE_D50) -> Floats:
    """CIELAB of ``xyz`` (..., 3), Y = 1 for the perfect diffuser.

    CIE 15:2018, 8.2.1.1. Negative XYZ (noise, imaginary colours) follow the straight branch.
    """
    ratio = np.asarray(xyz, dtype=np.float64) / np.asarray(white, dtype=np.float64)
    f = np.where(ratio > EPSILON, np.cbrt(ratio), (KAPPA * ratio + 16) / 116)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = WHITE_D50) -> Floats:
    """XYZ (..., 3), Y = 1 for the perfect diffuser, of CIELAB ``lab``."""
    values = np.asarray(lab, dtype=np.float64)
    fy = (values[..., 0] + 16) / 116
    f = np.stack([fy + values[..., 1] / 500, fy, fy - values[..., 2] / 200], axis=-1)
    ratio = np.where(f > 6 / 29, f**3, (116 * f - 16) / KAPPA)
    return ratio * np.asarray(white, dtype=np.float64)


def lab_to_lch(lab: ArrayLike) -> Floats:
    """L*, C*ab and hue angle h_ab in degrees from 0 to 360 (0 for a neutral), shape (..., 3).

    CIE 15:2018, 8.2.1.2.
    """
    values = np.asarray(lab, dtype=np.float64)
    lightness, a, b = values[..., 0], values[..., 1], values[..., 2]
    hue = np.degrees(np.arctan2(b, a)) % 360
    # A hue a rounding error below zero wraps to 360 itself, which is the same angle as 0.
    return np.stack([lightness, np.hypot(a, b), np.where(hue >= 360, 0.0, hue)], axis=-1)


def lch_to_lab(lch: ArrayLike) -> Floats:
    """CIELAB of L*, C*ab and hue angle in degrees, shape (..., 3)."""
    values = np.asarray(lch, dtype=np.float64)
    lightness, chroma, hue = values[..., 0], values[..., 1], np.radians(values[..., 2])
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def bradford_matrix(from_white: ArrayLike, to_white: ArrayLike) -> Floats:
    """The 3 × 3 matrix that takes XYZ under ``from_white`` to XYZ under ``to_white`` (both XYZ, Y = 1)."""
    source = BRADFORD @ np.asarray(from_white, dtype=np.float64)
    destination = BRADFORD @ np.asarray(to_white, dtype=np.float64)
    return np.asarray(np.linalg.solve(BRADFORD, np.diag(destination / source) @ BRADFORD))


def adapt(xyz: ArrayLike, from_white: ArrayLike, to_white: ArrayLike) -> Floats:
    """``xyz`` (..., 3) seen under ``from_white``, as its corresponding colour under ``to_white``."""
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ bradford_matrix(from_white, to_white).T)
