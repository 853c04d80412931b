"""The two working spaces: sRGB and Adobe RGB (1998), to and from XYZ and CIELAB under D50.

Sources: IEC 61966-2-1:1999 (sRGB); Adobe RGB (1998) Color Image Encoding, version 2005-05. RGB is 0 to 1.
Values beyond that range pass through: the transfer curve is continued as an odd function, so that a colour
outside the space keeps its place and comes back unharmed. Nothing is clipped here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import WHITE_D50, Floats, bradford_matrix, lab_to_xyz, xyz_to_lab

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
