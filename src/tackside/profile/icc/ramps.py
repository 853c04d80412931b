"""What a profile makes of greys, and of even ramps from white to each full colour: casts, steps, tone curves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.profile.link.convert import can_export, device_to_lab_by_profile, lab_to_device_by_profile

STEPS = 64  # of a ramp
GREYS = 21

# Where each ramp ends; all begin at white. RGB numbers here; those of CMYK below.
RGB_ENDS: dict[str, tuple[int, ...]] = {
    "black": (0, 0, 0),
    "cyan": (0, 1, 1),
    "magenta": (1, 0, 1),
    "yellow": (1, 1, 0),
    "red": (1, 0, 0),
    "green": (0, 1, 0),
    "blue": (0, 0, 1),
}
CMYK_ENDS: dict[str, tuple[int, ...]] = {
    "black": (0, 0, 0, 1),
    "cyan": (1, 0, 0, 0),
    "magenta": (0, 1, 0, 0),
    "yellow": (0, 0, 1, 0),
    "red": (0, 1, 1, 0),
    "green": (1, 0, 1, 0),
    "blue": (1, 1, 0, 0),
}
ENDS: dict[int, dict[str, tuple[int, ...]]] = {1: {"black": (0,)}, 3: RGB_ENDS, 4: CMYK_ENDS}


@dataclass(frozen=True)
class ProfileRamp:
    """An even ramp from white to the full colour ``name``: CIELAB (STEPS + 1, 3), media-relative.

    ``largest`` and ``rms`` are of the second differences |Lab(i-1) - 2 Lab(i) + Lab(i+1)|, in ΔE*ab: 0 for a
    straight line, some 0.1 for a smooth bend, more where the ramp has a corner that may show as a band.
    """

    name: str
    lab: Floats
    largest: float
    rms: float


@dataclass(frozen=True)
class Neutral:
    """Greys from white to black: ``level`` (n,) 1 to 0, ``lab`` (n, 3) media-relative.

    ``asked`` is False where the greys are equal device values, True where the profile was asked for neutral
    CIELAB of L* = 100 times the level and the colours are what it then prints.
    """

    asked: bool
    level: Floats
    lab: Floats

    @property
    def largest_cast(self) -> float:
        """The largest chroma among the greys, white and black left out."""
        return float(np.hypot(self.lab[1:-1, 1], self.lab[1:-1, 2]).max())


def ramps(profile: bytes, channels: int) -> tuple[ProfileRamp, ...]:
    """The ramps of a usable profile, the greys first, by its relative colorimetric intent."""
    return tuple(_ramp(profile, name, np.array(end)) for name, end in ENDS[channels].items())


def neutral(profile: bytes, channels: int) -> Neutral:
    """Equal RGB and grey numbers as they are; of CMYK the neutrals that the profile itself would print."""
    level = np.linspace(1, 0, GREYS)
    if channels == 4 and can_export(profile):
        asked = np.stack([100 * level, 0 * level, 0 * level], axis=1)
        device = lab_to_device_by_profile(asked, profile)
        return Neutral(True, level, device_to_lab_by_profile(device, profile))
    black = np.array(ENDS[channels]["black"])
    white = white_device(channels)
    device = black + level[:, None] * (white - black)
    return Neutral(False, level, device_to_lab_by_profile(device, profile))


def white_device(channels: int) -> Floats:
    """The device values of bare paper or full light."""
    return np.zeros(4) if channels == 4 else np.ones(channels)


def _ramp(profile: bytes, name: str, end: Floats) -> ProfileRamp:
    white = white_device(len(end))
    device = white + np.linspace(0, 1, STEPS + 1)[:, None] * (end - white)
    lab = device_to_lab_by_profile(device, profile)
    bends = np.linalg.norm(lab[:-2] - 2 * lab[1:-1] + lab[2:], axis=1)
    return ProfileRamp(name, lab, float(bends.max()), float(np.sqrt(np.mean(bends**2))))
