"""A card file's colours as numbers of the space that its output is written in."""

from __future__ import annotations

from tackside.card.layout.placed import Rgb
from tackside.records.sheet_plan import Space


def rgb_in(space: Space, colour: str) -> Rgb:
    """An sRGB colour such as ``#204060`` as RGB, 0 to 1, of a working space, to the media-relative colour."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    if space == "srgb" or red == green == blue in (0.0, 1.0):
        return red, green, blue
    import numpy as np  # kept off the start-up path

    from tackside.colour.rgb_spaces import ADOBE_RGB, SRGB, rgb_to_xyz_d50, xyz_d50_to_rgb

    found = xyz_d50_to_rgb(rgb_to_xyz_d50(np.array([red, green, blue]), SRGB), ADOBE_RGB)
    r, g, b = (float(np.clip(value, 0, 1)) for value in found)
    return r, g, b


def luminance_of(rgb: Rgb) -> float:
    """Relative luminance, 0 to 1: Y of the linear components (IEC 61966-2-1).

    Adobe RGB's numbers are taken for sRGB's: near enough to judge whether a text can be read.
    """
    red, green, blue = (
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in rgb
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: float, other: float) -> float:
    """Contrast of two luminances, 1 to 21 (W3C, WCAG 2.2, "contrast ratio")."""
    light, dark = max(one, other), min(one, other)
    return (light + 0.05) / (dark + 0.05)
