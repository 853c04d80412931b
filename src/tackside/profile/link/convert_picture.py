"""Pictures opened by libvips, or a phone's HEIC by its own decoder, and brought through ICC profiles to a working
space, streamed by libvips.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.colour.spaces import WHITE_D50, kept_light
from tackside.errors import BadImage
from tackside.files.heic import BT709, P3_D65, UNSPECIFIED, Heic, HeicDamaged
from tackside.files.image import image_in, thumbnail_in
from tackside.files.outside import is_heic
from tackside.profile.icc.inspect import CHANNELS
from tackside.profile.icc.working_space import SpaceName, display_p3_profile, working_space_profile
from tackside.profile.link.convert import (
    INTERPRETATIONS,
    LAB_INTERPRETATIONS,
    import_lab,
    listed_as_relative,
    require_usable,
    with_profile,
)
from tackside.profile.link.profile_black import compensates, source_black_l

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


def convert_image_rgb(
    image: pyvips.Image, from_profile: bytes | None, to_space: SpaceName, *, intent: str = "relative"
) -> pyvips.Image:
    """A picture as RGB of a working space, 8 or 16 bits as it came, that space's profile attached.

    ``from_profile`` is usually ``embedded_profile(image)``; None takes RGB and grey numbers for sRGB.
    Transparent parts become white. ``intent`` is ``relative`` (with black point compensation),
    ``perceptual``, ``saturation`` or ``absolute``. libvips computes when pixels are asked for, and its errors
    come then. Raises BadImage, BadProfile.
    """
    to_profile = working_space_profile(to_space)
    try:
        depth = 8 if image.format == "uchar" else 16
        if image.interpretation in LAB_INTERPRETATIONS:
            return _opaque(_export(image.colourspace("lab"), to_profile, depth, intent))
        source = _as_stored_integers(image)
        if from_profile is None:
            source, from_profile = _as_srgb(source), working_space_profile("srgb")
        if from_profile == to_profile:
            return with_profile(source, to_profile)
        space = require_usable(from_profile)
        if space not in INTERPRETATIONS or source.bands != CHANNELS[space]:
            raise BadImage("profile.picture-channels", channels=source.bands, space=space)
        return _export(_to_lab(source, from_profile, intent), to_profile, depth, intent)
    except pyvips.Error as error:
        raise BadImage("profile.picture-not-converted") from error


def opaque_rgb(image: pyvips.Image) -> pyvips.Image:
    """A picture's own numbers on white, of 8 or 16 bits, nothing converted."""
    return _as_stored_integers(image)


def _to_lab(image: pyvips.Image, profile: bytes, intent: str) -> pyvips.Image:
    """The numbers of ``profile`` to CIELAB, its black led to L* 0 where black is compensated."""
    if intent == "absolute":
        return import_lab(image, profile, intent)
    lab = import_lab(image, listed_as_relative(profile, intent), "relative")
    if not compensates(profile, intent, bpc=intent == "relative"):
        return lab
    kept = kept_light(0.0, source_black_l(profile, intent))
    if kept == 1:
        return lab
    white = [100 * float(part) for part in WHITE_D50]
    mixed = lab.Lab2XYZ(temp=white).linear([kept] * 3, [(1 - kept) * part for part in white])
    return mixed.XYZ2Lab(temp=white)


def _export(lab: pyvips.Image, profile: bytes, depth: int, intent: str) -> pyvips.Image:
    """CIELAB to the numbers of a working space, whose black is L* 0; its profile stays attached."""
    table = "absolute" if intent == "absolute" else "relative"
    return with_profile(lab, profile).icc_export(pcs="lab", intent=table, depth=depth)


def _opaque(image: pyvips.Image) -> pyvips.Image:
    """An image of 8 or 16 bits on white, without its alpha channel."""
    if not image.hasalpha():
        return image
    top = 65535 if image.format == "ushort" else 255
    return image.flatten(background=[0 if image.interpretation == "cmyk" else top], max_alpha=top)


def _as_stored_integers(image: pyvips.Image) -> pyvips.Image:
    """8 or 16 bits as LittleCMS takes them, opaque, with the interpretation that fits."""
    if image.format not in ("uchar", "ushort"):
        image = image.colourspace("rgb16")
    image = _opaque(image)
    if image.bands == 3:
        return image.copy(interpretation="rgb16" if image.format == "ushort" else "srgb")
    if image.bands == 1:
        return image.copy(interpretation="grey16" if image.format == "ushort" else "b-w")
    return image


def _as_srgb(image: pyvips.Image) -> pyvips.Image:
    """RGB and grey numbers without a profile, taken for sRGB; anything else has no meaning alone."""
    if image.bands == 1:
        interpretation = "rgb16" if image.format == "ushort" else "srgb"
        return image.bandjoin([image, image]).copy(interpretation=interpretation)
    if image.bands != 3:
        raise BadImage("profile.picture-without-profile", channels=image.bands)
    return image
