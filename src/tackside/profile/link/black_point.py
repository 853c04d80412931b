"""Black point compensation: the source's black led to the device's, so that shadows keep their steps."""

from __future__ import annotations

from numpy.typing import ArrayLike

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab

DEEPEST = 50.0  # ISO 18619: a black point lighter than L* 50 is taken as 50


def compensate(lab: ArrayLike, black_l: float) -> Floats:
    """Media-relative CIELAB (..., 3) with black (L* 0) at ``black_l`` and white where it was.

    ISO 18619: a straight map of X, Y and Z. The device's black counts by its lightness alone, as a neutral.
    """
    black = lab_to_xyz([min(max(black_l, 0.0), DEEPEST), 0.0, 0.0])
    return xyz_to_lab(lab_to_xyz(lab) * (1 - black / WHITE_D50) + black)


def relative_lightness(black_lab: ArrayLike, white_lab: ArrayLike) -> float:
    """L* of an ICC-absolute black beside its white taken for 100."""
    beside = lab_to_xyz(black_lab) * (WHITE_D50 / lab_to_xyz(white_lab))
    return float(xyz_to_lab(beside)[0])
