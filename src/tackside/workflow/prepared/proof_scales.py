"""The scales of a proof's maps: what they show in full, and their colours."""

from __future__ import annotations

import numpy as np

from tackside.colour.spaces import SRGB, lab_to_rgb
from tackside.picture.proof.maps import FULL_DE00, FULL_LOST, FULL_OUTSIDE, HUES, STEPS, ramp

# What the maps show in full, by their names: ΔE00, ΔE00, and a share of the local contrast.
FULL = {"outside": FULL_OUTSIDE, "difference": FULL_DE00, "lost-contrast": FULL_LOST}
_HUES = {"outside": "outside", "difference": "de00", "lost-contrast": "lost"}


def scale_of(name: str, count: int) -> list[tuple[float, float, float]]:
    """So many colours of a map's scale from nothing to full, sRGB, 0 to 1."""
    places = np.linspace(0, STEPS - 1, count).round().astype(int)
    rgb = np.clip(lab_to_rgb(ramp(HUES[_HUES[name]])[places], SRGB), 0, 1)
    return [(float(red), float(green), float(blue)) for red, green, blue in rgb]
