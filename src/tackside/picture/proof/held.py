"""What part of a picture a card or a profile holds, and by how much the rest falls outside."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.colour.spaces import Floats, compensate
from tackside.picture.file.colours import reduced
from tackside.profile.gamut.gamut_device import Basis, GamutDevice
from tackside.profile.gamut.gamut_solid import Outside
from tackside.profile.link.convert import rgb_to_lab_by_profile


@dataclass(frozen=True)
class HeldPart:
    """``compensated``: the same with the picture's black led to the card's first, as most prints are made; None where
    colours are laid on the card as they are.
    """

    outside: Outside
    compensated: Outside | None


def held_of(path: Path, device: GamutDevice, basis: Basis) -> HeldPart:
    """What part of a picture's pixels falls outside the device's solid, and how far, ΔE00. Raises BadImage."""
    lab, counts = picture_colours(path)
    solid = device.seen(basis)
    found = solid.outside(lab, counts)
    if basis == "absolute":
        return HeldPart(found, None)
    return HeldPart(found, solid.outside(compensate(lab, device.relative_black_l), counts))


def picture_colours(path: Path) -> tuple[Floats, Floats]:
    """The different colours of a picture, reduced, as media-relative CIELAB (n, 3), and how often each occurs (n,).

    Raises BadImage.
    """
    levels, space = reduced(path)
    pixels = levels.reshape(-1, 3).astype(np.uint32)
    packed, counts = np.unique(pixels[:, 0] << 16 | pixels[:, 1] << 8 | pixels[:, 2], return_counts=True)
    rgb = np.stack([packed >> 16, packed >> 8 & 255, packed & 255], axis=1) / 255
    return rgb_to_lab_by_profile(rgb, space.profile), counts.astype(np.float64)
