"""Smooth gradients: grey, six hues from white over the full colour to black, and all hues side by side.

A step in them is the printer's, the profile's or the card's, for the file has none: it is dithered when it is written.
"""

from __future__ import annotations

import colorsys

import numpy as np

from tackside.sheet.scenery.noise import Plane

_FULL = ((0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1))
_GREY_SHARE, _HUES_SHARE = 0.2, 0.2  # of the height, at the top and at the foot
_HUES = 121  # knots of the wheel of hues; straight lines between them


def paint_gradients(width: int, height: int) -> Plane:
    """As (height, width, 3), 0 to 1, in sRGB: bands that run the whole width, no gap between them."""
    along = np.linspace(0, 1, width, dtype=np.float32)[None, :, None]
    top, foot = round(_GREY_SHARE * height), round((1 - _HUES_SHARE) * height)
    picture = np.empty((height, width, 3), dtype=np.float32)
    picture[:top] = 1 - along
    edges = np.linspace(top, foot, len(_FULL) + 1).round().astype(int)
    for full, start, stop in zip(_FULL, edges, edges[1:], strict=False):
        colour = np.array(full, dtype=np.float32)
        picture[start:stop] = np.where(along < 0.5, 1 + (colour - 1) * 2 * along, colour * 2 * (1 - along))
    picture[foot:] = _all_hues(along[0, :, 0])
    return picture


def _all_hues(along: Plane) -> Plane:
    """Muted colours of all hues, (width, 3): gentle enough for any card to hold."""
    places = np.linspace(0, 1, _HUES)
    wheel = np.array([colorsys.hsv_to_rgb(place % 1, 0.45, 0.85) for place in places])
    return np.stack([np.interp(along, places, wheel[:, each]) for each in range(3)], axis=-1).astype(
        np.float32
    )
