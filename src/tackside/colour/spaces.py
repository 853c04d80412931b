"""CIE XYZ, CIELAB and its polar form, all under D50 for the 2° observer unless told otherwise; the density and
reflectance of a neutral; and what a colour becomes under another white or another black.

Source: CIE 15:2018, Colorimetry, 8.2.1 and its annex on the reverse transformation; ISO/CIE 11664-4. The
constants are exact fractions, so that both branches of the function meet.

Reflection density: ISO 5-4:2009, D = −log10 R; between it and L* R is taken for the luminous reflectance Y
(Y = 10^−D), as for a neutral sample read with visual weighting.

Another white, chromatic adaptation: linear Bradford, ISO 15076-1, annex E (the matrix E.1 and the scaling of the
cone-like responses).

Another black, black point compensation: a source's black led to a device's, so that shadows keep their steps. ISO 18619
(docs/sources.md, S74). Both blacks count by their lightness alone, as neutrals: a tinted black does not tint the greys
above it. Worked out here, since versions of LittleCMS disagree about that tint.

The two working spaces, sRGB and Adobe RGB (1998), to and from XYZ and CIELAB: IEC 61966-2-1:1999; Adobe RGB (1998)
Color Image Encoding, version 2005-05. RGB is 0 to 1. Values beyond that range pass through: the transfer curve is
continued as an odd function, so that a colour outside the space keeps its place and comes back unharmed. Nothing is
clipped here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

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
    ratio = np.where(f > 6 / 29, f * f * f, (116 * f - 16) / KAPPA)
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


Chromaticity = tuple[float, float]

WHITE_D65_XY: Chromaticity = (0.3127, 0.3290)  # both specifications state it to four places
ADOBE_GAMMA = 563 / 256  # Adobe RGB (1998), 4.3.1.2: 2.19921875


def xy_to_xyz(xy: Chromaticity) -> Floats:
    """XYZ with Y = 1 of a chromaticity."""
    x, y = xy
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _srgb_decode(encoded: Floats) -> Floats:
    size = np.abs(encoded)
    return np.sign(encoded) * np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4)


def _srgb_encode(linear: Floats) -> Floats:
    size = np.abs(linear)
    return np.sign(linear) * np.where(size <= 0.0031308, 12.92 * size, 1.055 * size ** (1 / 2.4) - 0.055)


def _adobe_decode(encoded: Floats) -> Floats:
    return np.asarray(np.sign(encoded) * np.abs(encoded) ** ADOBE_GAMMA)


def _adobe_encode(linear: Floats) -> Floats:
    return np.asarray(np.sign(linear) * np.abs(linear) ** (1 / ADOBE_GAMMA))


@dataclass(frozen=True)
class RgbSpace:
    """An additive RGB space: chromaticities (x, y) of red, green, blue and white, and its transfer curve.

    ``decode`` takes RGB as stored (0 to 1) to linear light, ``encode`` takes it back.
    """

    name: str
    red: Chromaticity
    green: Chromaticity
    blue: Chromaticity
    white: Chromaticity
    decode: Callable[[Floats], Floats]
    encode: Callable[[Floats], Floats]

    @cached_property
    def to_xyz(self) -> Floats:
        """Matrix from linear RGB to XYZ under the space's own white (SMPTE RP 177-1993, 3.3)."""
        primaries = np.stack([xy_to_xyz(self.red), xy_to_xyz(self.green), xy_to_xyz(self.blue)], axis=1)
        return np.asarray(primaries * np.linalg.solve(primaries, xy_to_xyz(self.white)))

    @cached_property
    def to_xyz_d50(self) -> Floats:
        """Matrix from linear RGB to XYZ under D50, by the Bradford adaptation."""
        return np.asarray(bradford_matrix(xy_to_xyz(self.white), WHITE_D50) @ self.to_xyz)

    @cached_property
    def from_xyz_d50(self) -> Floats:
        """The inverse of ``to_xyz_d50``."""
        return np.asarray(np.linalg.inv(self.to_xyz_d50))


SRGB = RgbSpace(
    name="srgb",
    red=(0.64, 0.33),
    green=(0.30, 0.60),
    blue=(0.15, 0.06),
    white=WHITE_D65_XY,
    decode=_srgb_decode,
    encode=_srgb_encode,
)
ADOBE_RGB = RgbSpace(
    name="adobe-rgb",
    red=(0.64, 0.33),
    green=(0.21, 0.71),
    blue=(0.15, 0.06),
    white=WHITE_D65_XY,
    decode=_adobe_decode,
    encode=_adobe_encode,
)
# SMPTE EG 432-1's primaries with D65 and the curve of sRGB, as screens of phones have it (docs/sources.md, S170).
DISPLAY_P3 = RgbSpace(
    name="display-p3",
    red=(0.680, 0.320),
    green=(0.265, 0.690),
    blue=(0.150, 0.060),
    white=WHITE_D65_XY,
    decode=_srgb_decode,
    encode=_srgb_encode,
)
RGB_SPACES: dict[str, RgbSpace] = {space.name: space for space in (SRGB, ADOBE_RGB)}


def rgb_to_xyz_d50(rgb: ArrayLike, space: RgbSpace) -> Floats:
    """XYZ under D50, white at Y = 1, of ``rgb`` (..., 3) in ``space``."""
    return np.asarray(space.decode(np.asarray(rgb, dtype=np.float64)) @ space.to_xyz_d50.T)


def xyz_d50_to_rgb(xyz: ArrayLike, space: RgbSpace) -> Floats:
    """``xyz`` (..., 3) under D50 as RGB in ``space``; outside 0 to 1 where the space lacks the colour."""
    return space.encode(np.asarray(np.asarray(xyz, dtype=np.float64) @ space.from_xyz_d50.T))


def rgb_to_lab(rgb: ArrayLike, space: RgbSpace) -> Floats:
    """CIELAB under D50 of ``rgb`` (..., 3): media-relative, the space's white is 100, 0, 0."""
    return xyz_to_lab(rgb_to_xyz_d50(rgb, space))


def lab_to_rgb(lab: ArrayLike, space: RgbSpace) -> Floats:
    """RGB in ``space`` of CIELAB (..., 3) under D50; outside 0 to 1 where the space lacks the colour."""
    return xyz_d50_to_rgb(lab_to_xyz(lab), space)
