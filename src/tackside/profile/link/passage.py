"""The two halves of LittleCMS' way from a picture to a card: picture numbers to CIELAB, CIELAB to card numbers.

Joined, they give what LittleCMS gives on its own single way from profile to profile, for versions 2 and 4, every
intent, with and without black point compensation (the tests compare them). A single way through libvips would need
the card's profile as a file, and libvips keeps profiles by their file name. Its own CIELAB has a white
of D65 for the absolute intent: that one is therefore worked as the relative one, between the media's whites.
"""

from __future__ import annotations

import numpy as np
import pyvips
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats
from tackside.errors import BadProfile
from tackside.profile.icc.inspect import CHANNELS, describe
from tackside.profile.icc.tags import media_white, read_tags, retagged, to_icc_absolute, to_media_relative
from tackside.profile.link.convert import INTENTS, can_export, require_usable, with_profile


def rgb_codes_to_lab(codes: NDArray[np.uint8], profile: bytes, intent: str, *, bpc: bool) -> Floats:
    """CIELAB (n, 3) of a picture's 8-bit RGB (n, 3) by its profile.

    8 bits in, 16 out: LittleCMS then straightens the profile's curves first, and comes nearer to its own exact
    sums than with 16 bits in. ``intent`` is one of INTENTS. Raises BadProfile where the profile is not for RGB.
    """
    space = require_usable(profile)
    if space != "RGB":
        raise BadProfile("profile.picture-not-rgb", profile=describe(profile), space=space)
    table = "relative" if intent == "absolute" else intent
    try:
        image = pyvips.Image.new_from_memory(codes.tobytes(), len(codes), 1, 3, "uchar")
        image = with_profile(image.copy(interpretation="srgb"), completed(profile, table))
        lab = image.icc_import(pcs="lab", intent=table, black_point_compensation=bpc, embedded=True)
        colours = np.asarray(lab.numpy(), dtype=np.float64).reshape(-1, 3)
    except pyvips.Error as error:
        raise _unusable(profile) from error
    return to_icc_absolute(colours, media_white(profile)) if intent == "absolute" else colours


def lab_to_card_numbers(lab: ArrayLike, profile: bytes, intent: str, *, bpc: bool) -> Floats:
    """Device numbers (n, channels), 0 to 1, of CIELAB (n, 3), as LittleCMS takes a picture's colours to a card.

    As ``lab_to_device_by_profile``, but with black point compensation where ``bpc`` asks for it, and where
    LittleCMS does it of its own accord (version 4, perceptual and saturation). ``bpc`` is not for ``absolute``.
    Raises BadProfile.
    """
    space = require_usable(profile)
    if not can_export(profile):
        raise BadProfile("profile.no-way-to-printer", profile=describe(profile))
    colours = np.asarray(lab, dtype=np.float64)
    if intent == "absolute":
        colours, intent = to_media_relative(colours, media_white(profile)), "relative"
    stored = colours.astype(np.float32)
    try:
        image = pyvips.Image.new_from_memory(stored.tobytes(), len(stored), 1, 3, "float")
        image = with_profile(image.copy(interpretation="lab"), completed(profile, intent))
        device = image.icc_export(pcs="lab", intent=intent, black_point_compensation=bpc, depth=16)
        return np.asarray(device.numpy(), dtype=np.float64).reshape(-1, CHANNELS[space]) / 65535
    except pyvips.Error as error:
        raise _unusable(profile) from error


def completed(profile: bytes, intent: str) -> bytes:
    """The profile with its perceptual tables under the intent's name where it has none of that name.

    LittleCMS does so itself; libvips would take another intent before it comes to that.
    """
    number = str(INTENTS.index(intent))
    listed = {tag.signature for tag in read_tags(profile)}
    missing = [way for way in ("A2B", "B2A") if way + number not in listed and way + "0" in listed]
    return retagged(profile, {way + number: way + "0" for way in missing})


def _unusable(profile: bytes) -> BadProfile:
    return BadProfile("profile.damaged", profile=describe(profile))
