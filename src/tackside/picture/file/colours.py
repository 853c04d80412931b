"""The colours of a picture, decoded once and reduced: a histogram of cells, and steps between neighbours.

JPEG and WebP are reduced while they are decoded, so a picture of 24 megapixels costs little more than reading its
file. A cell is 8 of 256 levels wide in each channel; what is asked of a colour (how a card shows it) changes slowly
over a cell, and is worked out once for all pictures of one space. Local contrast is no matter of cells: it is taken
from pairs of neighbouring pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.errors import BadImage, BadProfile
from tackside.files.image import image_in
from tackside.picture.file.open import Picture, kind_of, open_picture
from tackside.profile.icc.inspect import device_colour_space
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import embedded_profile, require_usable, rgb_to_lab_by_profile
from tackside.profile.link.convert_picture import convert_image_rgb, thumbnail_of

LEVELS = 32  # cells an axis
CELLS = LEVELS**3
SHIFT = 3  # 8 bits to 5
# A picture reduced into this square keeps its colours.
REDUCED_PX = 640
# A JPEG of 3840 pixels and more comes down eightfold while it is decoded, a smaller one four- or twofold, to this on
# its longer side at least. To make it fit REDUCED_PX, decoded fourfold and brought down again, takes a sixth longer.
BLOCKS, LEAST_PX = (8, 4, 2), 480
MOST_PAIRS = 2000
LEVEL_CODES: Floats = np.arange(LEVELS, dtype=np.float64) * 8 + 3.5
LEVEL_CODES[-1] = 255
LEVEL_CODES[0] = 2  # where blacks are clipped most of the first cell is 0

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Space:
    """The RGB space that a picture's numbers are in, by its profile. Equal profiles are one space."""

    profile: bytes


@dataclass(frozen=True)
class Colours:
    """``cells``: numbers of the cells that occur, rising, red counting most; ``weights``: their shares, sum 1.

    ``pairs`` (n, 2, 3): pixels and a neighbour of each, evenly spread over the picture.
    """

    space: Space
    cells: NDArray[np.intp]
    weights: Floats
    pairs: Pixels


def reduced(path: Path, within_px: int | None = None, *, upright: bool = False) -> tuple[Pixels, Space]:
    """A picture reduced: opaque RGB (h, w, 3) of 8 bits, and the space of its numbers.

    To fit a square of ``within_px``; without, as its colours ask, which for a JPEG costs least by its own blocks.
    The picture is turned as its EXIF data ask only where ``upright``. Raises BadImage.
    """
    opened = open_picture(path)
    block = None if upright or within_px is not None else _block(opened)
    side = within_px or REDUCED_PX
    try:
        if block is not None:
            image = image_in(path, access="sequential", fail_on="truncated", shrink=block)
        elif opened.profile is not None and device_colour_space(opened.profile) == "CMYK":
            # libvips' thumbnail would take the inks to RGB by the profile, and leave that at the RGB.
            image = opened.in_space(opened.stream(), "srgb").thumbnail_image(side, height=side, size="down")
        else:
            image = thumbnail_of(
                path, side, height=side, size="down", no_rotate=not upright, fail_on="truncated"
            )
        image = _as_rgb(image)
        space = Space(embedded_profile(image) or working_space_profile("srgb"))
        return np.asarray(image.numpy(), dtype=np.uint8), space
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(path)) from error


def _block(picture: Picture) -> int | None:
    """By how many pixels each way a JPEG is reduced while it is decoded; None for others, small and huge ones."""
    longest = max(picture.size_px)
    if kind_of(picture.path) != "JPEG" or longest // BLOCKS[0] > 2 * REDUCED_PX:
        return None
    return next((block for block in BLOCKS if longest // block >= LEAST_PX), None)


def colours_of(path: Path) -> Colours:
    """Decode a picture once, reduced, and count its colours. Raises BadImage."""
    return count(*reduced(path))


def count(pixels: Pixels, space: Space) -> Colours:
    """The histogram and pairs of pixels (h, w, 3)."""
    fine = (pixels >> SHIFT).reshape(-1, 3)
    numbers = fine[:, 0].astype(np.uint16)  # a cell's number has 15 bits; wider ones take five times as long
    for channel in (1, 2):
        numbers <<= 5
        numbers |= fine[:, channel]
    counts = np.bincount(numbers, minlength=CELLS)
    cells = np.flatnonzero(counts)
    return Colours(space, cells, counts[cells] / len(fine), _pairs(pixels))


def _pairs(pixels: Pixels) -> Pixels:
    """Every so many a pixel with its right or, by turns, its lower neighbour."""
    height, width = pixels.shape[0] - 1, pixels.shape[1] - 1
    if height < 1 or width < 1:
        return np.zeros((0, 2, 3), dtype=np.uint8)
    step = max(1, height * width // MOST_PAIRS) | 1  # odd, so that it does not run down a column
    places = np.arange(0, height * width, step)[:MOST_PAIRS]
    y, x = places // width, places % width
    down = np.arange(len(places)) % 2
    return np.stack([pixels[y, x], pixels[y + down, x + 1 - down]], axis=1)


def cell_rgb() -> Floats:
    """RGB (32768, 3), 0 to 1, of all cells, in their order: the middle of each, but white grounds stay white."""
    steps = LEVEL_CODES / 255
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)


@lru_cache(maxsize=8)
def cell_lab(space: Space) -> Floats:
    """Media-relative CIELAB (32768, 3) of all cells in a space. Raises BadProfile."""
    lab = rgb_to_lab_by_profile(cell_rgb(), space.profile)
    lab.flags.writeable = False
    return lab


def _as_rgb(image: pyvips.Image) -> pyvips.Image:
    """8 bits of RGB: in the picture's own space where that is a sound RGB one, else in sRGB."""
    profile = _sound_profile(image)
    colours = image.bands - int(image.hasalpha())
    if profile is None or colours != 3 or require_usable(profile) != "RGB":
        image = convert_image_rgb(image, profile, "srgb")
    elif image.hasalpha():
        top = 65535 if image.format == "ushort" else 255
        image = image.flatten(background=[top], max_alpha=top)
    if image.format == "ushort":
        image = (image / 257).rint()
    return image.cast("uchar")


def _sound_profile(image: pyvips.Image) -> bytes | None:
    profile = embedded_profile(image)
    if profile is None:
        return None
    try:
        require_usable(profile)
    except BadProfile:
        return None
    return profile
