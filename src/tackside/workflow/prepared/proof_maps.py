"""The maps of a live proof: what stands on a picture where its print moves colours, cannot hold them, or flattens them.

The first two are matters of a colour alone and come from a table; lost contrast is one of neighbours, and is taken from
the picture reduced as ``tackside proof`` takes it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.picture.proof.figures import Lab32, Single
from tackside.picture.proof.maps import Maps, painted
from tackside.picture.proof.proof import MOST_SAMPLED, lost_contrast
from tackside.profile.link.link import LabLink


@dataclass(frozen=True, eq=False)
class ReducedPicture:
    """A picture reduced: its own numbers (h, w, 3) and its media-relative CIELAB (h, w, 3)."""

    pixels: NDArray[np.uint8]
    lab: Lab32


def seen_of(pixels: NDArray[np.uint8], source: LabLink) -> ReducedPicture:
    """The picture reduced by whole blocks of pixels."""
    height, width = pixels.shape[:2]
    factor = 1
    while (width // factor) * (height // factor) > MOST_SAMPLED:
        factor += 1
    image = pyvips.Image.new_from_array(pixels)
    if factor > 1:
        image = image.shrink(min(factor, width), min(factor, height))
    reduced = np.ascontiguousarray(image.numpy())
    return ReducedPicture(reduced, source.apply(reduced))


def lost_at(seen: ReducedPicture, printed: LabLink) -> Single:
    """The share of local contrast that a print takes from each pixel, (h, w)."""
    return lost_contrast(seen.lab, printed.apply(seen.pixels))


def paint_maps(seen: ReducedPicture, found: LabLink, lost: Single) -> dict[str, NDArray[np.uint8]]:
    """The three maps painted, sRGB (h, w, 3), by name. ``found`` gives the sizes of each colour."""
    sizes = found.apply(seen.pixels)
    return painted(seen.lab, Maps(sizes[..., 1], sizes[..., 0], lost))
