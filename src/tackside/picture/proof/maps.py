"""Maps of where a card falls short, painted: one colour that deepens, on the picture in pale greys."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import SRGB, Floats, lab_to_rgb, lch_to_lab
from tackside.picture.proof.figures import Single

# What stands for the full size of each map.
FULL_OUTSIDE = 20.0  # ΔE00
FULL_DE00 = 15.0
FULL_LOST = 1.0  # share of local contrast
PALE = (62.0, 96.0)  # L* that the picture's black and white take under a map
HUES = {"outside": 320.0, "de00": 45.0, "lost": 255.0}  # h_ab of magenta, orange and blue
STEPS = 256
ROWS = 64  # worked at a time


@dataclass(frozen=True, eq=False)
class Maps:
    """Where a card falls short, each (h, w): ΔE00 outside the card, ΔE00, share of local contrast lost."""

    outside: Single
    de00: Single
    lost_contrast: Single


# The maps by the names that their files take.
NAMES = ("outside", "difference", "lost-contrast")


def painted(lab: ArrayLike, maps: Maps) -> dict[str, NDArray[np.uint8]]:
    """The three maps on their picture (h, w, 3) CIELAB, as sRGB, by the names that their files take."""
    drawn = (
        paint(lab, maps.outside, FULL_OUTSIDE, HUES["outside"]),
        paint(lab, maps.de00, FULL_DE00, HUES["de00"]),
        paint(lab, maps.lost_contrast, FULL_LOST, HUES["lost"]),
    )
    return dict(zip(NAMES, drawn, strict=True))


def ramp(hue: float) -> Floats:
    """The colours of a map's scale, (256, 3) CIELAB: from pale to deep at one hue."""
    size = np.linspace(0, 1, STEPS)
    return lch_to_lab(np.column_stack([92 - 52 * size, 12 + 58 * size, np.full(STEPS, hue)]))


def paint(lab: ArrayLike, size: ArrayLike, full: float, hue: float) -> NDArray[np.uint8]:
    """A map as sRGB (h, w, 3), 8 bits.

    ``lab`` (h, w, 3) is the picture, ``size`` (h, w) what is mapped: 0 leaves the pale picture, ``full`` and
    more takes the scale's deepest colour.
    """
    picture, sizes = np.asarray(lab), np.asarray(size)
    colours = ramp(hue)
    painted_rows = [
        _paint_rows(picture[top : top + ROWS], sizes[top : top + ROWS] / full, colours)
        for top in range(0, len(picture), ROWS)
    ]
    return np.concatenate(painted_rows)


def _paint_rows(lab: ArrayLike, size: ArrayLike, colours: Floats) -> NDArray[np.uint8]:
    share = np.clip(np.asarray(size, dtype=np.float64), 0, 1)
    lightness = np.clip(np.asarray(lab, dtype=np.float64)[..., 0], 0, 100) / 100
    grey = np.zeros((*share.shape, 3))
    grey[..., 0] = PALE[0] + (PALE[1] - PALE[0]) * lightness
    colour = colours[np.rint(share * (STEPS - 1)).astype(np.intp)]
    # The picture's own shapes stay to be seen under the colour, and its trace fades in from nothing.
    colour[..., 0] += 14 * (lightness - 0.5)
    cover = np.minimum(share * 6, 1)[..., np.newaxis]
    rgb = lab_to_rgb(grey * (1 - cover) + colour * cover, SRGB)
    return np.rint(np.clip(rgb, 0, 1) * 255).astype(np.uint8)
