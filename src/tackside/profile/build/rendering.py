"""Pictures' colours as this printer shows them: perceptual and saturation, there and back.

Both are ``gamut.compression``: hue kept, lightness by a toe that keeps shadow detail, chroma by a knee. Perceptual
takes whatever sRGB or Adobe RGB (1998) hold, so that no colour of theirs is lost; saturation takes sRGB alone, leaves
more colours where they are, and moves them outwards where the printer reaches farther. The way back is the same map
undone, so that a print seen through the profile's perceptual table looks like the picture that it came from.

In version 4 the connection space of both has the black of a reference medium, a reflectance of 0.0034731 (ICC.1:2022;
docs/sources.md, S107), to which engines lead a picture's black by a straight
map of X, Y and Z. Here that map is undone first, and done last on the way back. In version 2 black is L* 0.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.spaces import ADOBE_RGB, SRGB, WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.gamut.compression import Compression, compression_into, toe
from tackside.profile.gamut.gamut_solid import GamutSolid

REFERENCE_BLACK = 0.0034731  # Y of the darkest colour in the reference medium of version 4: L* 3.14
SATURATION_STRETCH, SATURATION_GAIN = 3.0, 1.25
HALVINGS = 40
FARTHEST = 400.0  # ΔE from the middle of the grey axis, where the way back stops looking


@dataclass(frozen=True, eq=False)
class Rendering:
    """``compression`` works between black L* 0 and the printer's; ``black_y`` is the connection space's own black."""

    compression: Compression
    black_y: float

    def to_printer(self, lab: Floats) -> Floats:
        """What the printer had best show, media-relative CIELAB (n, 3), for colours (n, 3) of the connection space."""
        return self.compression(_from_black(lab, self.black_y))

    def from_printer(self, lab: Floats) -> Floats:
        """The colours of the connection space (n, 3) that ``to_printer`` takes to media-relative ``lab`` (n, 3)."""
        return _to_black(_undone(self.compression, lab), self.black_y)


def perceptual(solid: GamutSolid, black_l: float, version: int) -> Rendering:
    """``solid``: the printer's, media-relative; ``black_l``: L* of its black beside its white."""
    return Rendering(compression_into(solid, black_l, (SRGB, ADOBE_RGB)), _black_y(version))


def saturation(solid: GamutSolid, black_l: float, version: int) -> Rendering:
    """As ``perceptual``, for charts and signs rather than photographs."""
    drawn_in = compression_into(solid, black_l)
    return Rendering(replace(drawn_in, stretch=SATURATION_STRETCH, gain=SATURATION_GAIN), _black_y(version))


def _black_y(version: int) -> float:
    return 0.0 if version == 2 else REFERENCE_BLACK


def _from_black(lab: Floats, black_y: float) -> Floats:
    """The straight map of X, Y and Z that leads a neutral black of Y ``black_y`` to 0, white staying."""
    return xyz_to_lab((lab_to_xyz(lab) - black_y * WHITE_D50) / (1 - black_y))


def _to_black(lab: Floats, black_y: float) -> Floats:
    return xyz_to_lab(lab_to_xyz(lab) * (1 - black_y) + black_y * WHITE_D50)


def _undone(compression: Compression, lab: Floats) -> Floats:
    """The colours that a compression takes to ``lab``: it moves them along rays, so their distances are halved in."""
    centre = np.array([compression.centre_l, 0.0, 0.0])
    away = lab - centre
    goal = np.linalg.norm(away, axis=1)
    way = away / np.maximum(goal, 1e-9)[:, None]
    low, high = np.zeros(len(lab)), np.full(len(lab), FARTHEST)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        reached = np.linalg.norm(compression.squeeze(centre + way * middle[:, None]) - centre, axis=1)
        short = reached < goal
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    toned = centre + way * ((low + high) / 2)[:, None]
    lightness = np.linspace(0, 100, 2001)
    untoned = np.interp(toned[:, 0], toe(lightness, compression.black_l), lightness)
    return np.column_stack([untoned, toned[:, 1:]])
