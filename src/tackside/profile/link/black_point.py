"""Black point compensation: a source's black led to a device's, so that shadows keep their steps.

ISO 18619 (docs/sources.md, S74). Both blacks count by their lightness alone, as neutrals: a tinted black does not tint
the greys above it. Worked out here, since versions of LittleCMS disagree about that tint.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab

DEEPEST = 50.0  # ISO 18619: a black point lighter than L* 50 is taken as 50


def compensate(lab: ArrayLike, black_l: float, source_l: float = 0.0) -> Floats:
    """Media-relative CIELAB (..., 3) with the source's black, L* ``source_l``, at ``black_l`` and white where it was.

    ISO 18619: a straight map of X, Y and Z; between neutrals it is light mixed with white, or taken from it.
    """
    kept = kept_light(black_l, source_l)
    return xyz_to_lab(lab_to_xyz(lab) * kept + (1 - kept) * WHITE_D50)


def kept_light(black_l: float, source_l: float = 0.0) -> float:
    """The share of a colour's light that stays beside white's, which makes up the rest: 1 changes nothing, and beyond 1
    white is taken away."""
    return (1 - _luminance(black_l)) / (1 - _luminance(source_l))


def relative_lightness(black_lab: ArrayLike, white_lab: ArrayLike) -> float:
    """L* of an ICC-absolute black beside its white taken for 100."""
    beside = lab_to_xyz(black_lab) * (WHITE_D50 / lab_to_xyz(white_lab))
    return float(xyz_to_lab(beside)[0])


def _luminance(lightness: float) -> float:
    return float(lab_to_xyz([min(max(lightness, 0.0), DEEPEST), 0.0, 0.0])[1])
