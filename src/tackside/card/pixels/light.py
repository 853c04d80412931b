"""Reducing in linear light: look-up tables from a picture's numbers to light and back, by its own profile.

Averaging the numbers themselves darkens fine bright detail; what mixes in the eye is light.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.spaces import lab_to_xyz
from tackside.profile.link.convert import device_to_lab_by_profile, require_usable

FULL = 65535
# LittleCMS works 16-bit ramps through tables of this kind; more steps would show its own grain.
STEPS = 1024


def to_light(image: pyvips.Image, profile: bytes) -> pyvips.Image:
    """An RGB or grey image of 8 or 16 bits as light, 16 bits."""
    codes = 65536 if image.format == "ushort" else 256
    light = np.interp(np.arange(codes) / (codes - 1), np.arange(STEPS) / (STEPS - 1), _curve(profile))
    return image.maplut(_lut(np.rint(light * FULL).astype(np.uint16)))


def from_light(image: pyvips.Image, profile: bytes, bits: int) -> pyvips.Image:
    """Light of 16 bits as the profile's numbers, of 8 or 16 bits."""
    curve = _curve(profile)
    # In the darks a step of light is many numbers: between the steps the curve is straight either way.
    numbers = np.interp(np.arange(FULL + 1) / FULL, curve, np.arange(STEPS) / (STEPS - 1))
    if bits == 16:
        return image.maplut(_lut(np.rint(numbers * FULL).astype(np.uint16)))
    return image.maplut(_lut(np.rint(numbers * 255).astype(np.uint8)))


@lru_cache(maxsize=8)
def _curve(profile: bytes) -> NDArray[np.float64]:
    """Light (Y, 0 to 1, of the profile's own white) of STEPS greys from 0 to full; strictly rising.

    One curve for all channels, that of the greys: in matrix profiles, whose channels share a curve, it is that
    curve itself.
    """
    channels = 3 if require_usable(profile) == "RGB" else 1
    greys = np.repeat(np.linspace(0, 1, STEPS)[:, np.newaxis], channels, axis=1)
    light = lab_to_xyz(device_to_lab_by_profile(greys, profile))[:, 1]
    light = np.maximum.accumulate(light - light[0])
    light = light / light[-1] if light[-1] > 0 else np.linspace(0, 1, STEPS)
    # A flat stretch has no way back; the least slope gives it one.
    rising = light + np.linspace(0, 1e-7, STEPS)
    return np.asarray(rising / rising[-1])


def _lut(table: NDArray[np.uint8] | NDArray[np.uint16]) -> pyvips.Image:
    return pyvips.Image.new_from_array(table[np.newaxis, :, np.newaxis])
