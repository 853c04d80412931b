"""From a scan's numbers to CIE colours, by its own profile or as sRGB.

A scanner's white is the perfect diffuser, so its numbers are taken media-relative: the paper's own white
stays in the colours. Averages are made in XYZ, in linear light, as an instrument's aperture makes them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_76
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.units import Box

# The inner part of a patch's width and height: what is left out keeps clear of blur, of ink that spread and of a print
# that lies a few tenths of a millimetre off where the marks say.
INNER = 0.6
MOST_SAMPLES_A_SIDE = 32
# Beyond so many robust standard deviations of lightness a pixel is dust or a scratch.
DUST_SD = 4.0
MAD_TO_SD = 1.4826


@dataclass(frozen=True, eq=False)
class Sampled:
    """Colours of flat areas: ``lab`` (n, 3) CIELAB D50, ``sd`` (n,) ΔE*ab spread within, ``clipped`` (n,) bool.

    ``numbers`` (n, 3): the mean of the scan's own numbers, 0 to 1.

    ``colourless``: red, green and blue are the very same in every pixel, as in a grey scan saved as RGB.
    """

    lab: Floats
    sd: Floats
    clipped: NDArray[np.bool_]
    numbers: Floats
    colourless: bool


def to_lab(scan: ScanImage, rgb: Floats) -> Floats:
    """CIELAB (..., 3) of scan numbers (..., 3), 0 to 1."""
    profile = scan.profile if scan.profile is not None else working_space_profile("srgb")
    flat = rgb_to_lab_by_profile(rgb.reshape(-1, 3), profile)
    return flat.reshape(rgb.shape)


def is_inside(pixels: Pixels, sheet_map: SheetMap, box: Box) -> bool:
    """Whether the whole of a box shows in the scan."""
    height, width = pixels.shape[:2]
    corners = sheet_map.to_px(
        [[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]]
    )
    return bool(np.all(corners >= 0) and np.all(corners[:, 0] <= width) and np.all(corners[:, 1] <= height))


def sample_boxes(scan: ScanImage, sheet_map: SheetMap, boxes: list[Box]) -> Sampled:
    """The robust mean colour of the inner part of each box (mm), and the spread in it.

    Boxes must lie inside the scan. Dust is left out by lightness; the mean of the rest is taken in XYZ.
    """
    if not boxes:
        return Sampled(
            np.empty((0, 3)), np.empty(0), np.empty(0, dtype=np.bool_), np.empty((0, 3)), colourless=False
        )
    side_px = min(min(box.w, box.h) for box in boxes) * INNER * sheet_map.px_per_mm
    count = int(np.clip(round(side_px), 4, MOST_SAMPLES_A_SIDE))
    inside = (np.arange(count) + 0.5) / count - 0.5
    across, along = np.meshgrid(inside * INNER, inside * INNER)
    unit = np.stack([across.ravel(), along.ravel()], axis=-1)
    corner = np.array([[box.x + box.w / 2, box.y + box.h / 2] for box in boxes])
    size = np.array([[box.w, box.h] for box in boxes])
    numbers = numbers_at(scan.pixels, sheet_map.to_px(corner[:, None] + unit * size[:, None]))
    top = np.iinfo(scan.pixels.dtype).max
    clipped = np.mean((numbers == 0) | (numbers == top), axis=1).max(axis=-1) > 0.05
    mean, sd = _means(to_lab(scan, numbers / top))
    return Sampled(
        mean, sd, clipped, numbers.mean(axis=1) / top, colourless=bool(np.all(numbers == numbers[..., :1]))
    )


def numbers_at(pixels: Pixels, at: Floats) -> Pixels:
    """The scan's own numbers at pixel positions (..., 2): nearest pixels, nothing interpolated."""
    height, width = pixels.shape[:2]
    column = np.clip(np.floor(at[..., 0]).astype(np.intp), 0, width - 1)
    row = np.clip(np.floor(at[..., 1]).astype(np.intp), 0, height - 1)
    return pixels[row, column]


def _means(lab: Floats) -> tuple[Floats, Floats]:
    """Mean of (n, samples, 3) in XYZ without dust, as CIELAB, and the RMS ΔE*ab about it."""
    lightness = lab[..., 0]
    middle = np.median(lightness, axis=1, keepdims=True)
    scatter = MAD_TO_SD * np.median(np.abs(lightness - middle), axis=1, keepdims=True)
    kept = np.abs(lightness - middle) <= DUST_SD * np.maximum(scatter, 0.2)
    weight = kept[..., None] / kept.sum(axis=1)[:, None, None]
    mean = xyz_to_lab((lab_to_xyz(lab) * weight).sum(axis=1))
    off = delta_e_76(lab, mean[:, None, :])
    sd = np.sqrt((off**2 * kept).sum(axis=1) / kept.sum(axis=1))
    return mean, sd
