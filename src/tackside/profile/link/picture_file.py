"""A picture's file as an image of libvips: by libvips itself, or a phone's HEIC by its own decoder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.files.heic import BT709, P3_D65, UNSPECIFIED, Heic, HeicDamaged
from tackside.files.image import image_in, thumbnail_in
from tackside.files.sniff import is_heic
from tackside.profile.icc.working_space import display_p3_profile, working_space_profile
from tackside.profile.link.convert import with_profile

_INTERPRETATION = {(1, 8): "b-w", (2, 8): "b-w", (3, 8): "srgb", (4, 8): "srgb",
                   (1, 16): "grey16", (2, 16): "grey16", (3, 16): "rgb16", (4, 16): "rgb16"}  # fmt: skip


def image_of(path: Path, **options: Any) -> pyvips.Image:
    """The image in a file; ``options`` are those of libvips' ``new_from_file``.

    A HEIC is unpacked at once, upright, with the profile of its colours where they are not sRGB. Raises pyvips.Error
    for a damaged file of any kind, and BadImage where it cannot be read.
    """
    if not is_heic(path):
        return image_in(path, **options)
    try:
        return heic_image(Heic(path))
    except HeicDamaged as error:
        raise pyvips.Error(str(error)) from error


def thumbnail_of(path: Path, width_px: int, **options: Any) -> pyvips.Image:
    """``pyvips.Image.thumbnail`` of any file that ``image_of`` opens. Raises as it does."""
    if not is_heic(path):
        return thumbnail_in(path, width_px, **options)
    options.pop("fail_on", None)  # damage has shown by then
    return image_of(path).thumbnail_image(width_px, **options)


def heic_image(opened: Heic) -> pyvips.Image:
    """The pixels of a HEIC with their profile; without its Exif block, whose turn is done. Raises HeicDamaged."""
    pixels = opened.pixels()
    height, width, bands = pixels.shape
    bits = 8 * pixels.itemsize
    form = "uchar" if bits == 8 else "ushort"
    image = pyvips.Image.new_from_memory(np.ascontiguousarray(pixels).data, width, height, bands, form)
    image = image.copy(interpretation=_INTERPRETATION[bands, bits])
    image.set_type(pyvips.GValue.gstr_type, "vips-loader", "heif")
    profile = heic_profile(opened)
    return image if profile is None else with_profile(image, profile)


def heic_profile(opened: Heic) -> bytes | None:
    """The profile of a HEIC's colours: its own, or that of the primaries that it names; None where it tells none."""
    header = opened.header
    if header.profile is not None or header.primaries in (None, UNSPECIFIED):
        return header.profile
    if header.primaries == P3_D65:
        return display_p3_profile()
    return working_space_profile("srgb") if header.primaries == BT709 else None
