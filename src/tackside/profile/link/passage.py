"""The two halves of a picture's way to a card: picture numbers to CIELAB, CIELAB to card numbers.

Between them white is 100, 0, 0 and black is L* 0, to which black point compensation leads the picture's black and from
which it leads to the card's. The tables are worked by LittleCMS; black is our own work (``profile_black``), so that
every version of the library gives the same. Joined, they give what LittleCMS gives on its own single way from profile
to profile, for versions 2 and 4, every intent, with and without compensation (the tests compare them), but for the tint
that its later versions carry from a black into the greys.
"""

from __future__ import annotations

import numpy as np
import pyvips
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats, compensate
from tackside.errors import BadProfile
from tackside.profile.icc.inspect import describe, media_white, to_icc_absolute
from tackside.profile.link.convert import (
    can_export,
    lab_to_device_by_profile,
    listed_as_relative,
    require_usable,
    with_profile,
)
from tackside.profile.link.profile_black import card_black_l, compensates, source_black_l


def rgb_codes_to_lab(codes: NDArray[np.uint8], profile: bytes, intent: str, *, bpc: bool) -> Floats:
    """CIELAB (n, 3) of a picture's 8-bit RGB (n, 3) by its profile.

    8 bits in, 16 out: LittleCMS then straightens the profile's curves first, and comes nearer to its own exact
    sums than with 16 bits in. ``intent`` is one of INTENTS. Raises BadProfile where the profile is not for RGB.
    """
    space = require_usable(profile)
    if space != "RGB":
        raise BadProfile("profile.picture-not-rgb", profile=describe(profile), space=space)
    try:
        image = pyvips.Image.new_from_memory(codes.tobytes(), len(codes), 1, 3, "uchar")
        image = with_profile(image.copy(interpretation="srgb"), listed_as_relative(profile, intent))
        lab = image.icc_import(pcs="lab", intent="relative", embedded=True)
        colours = np.asarray(lab.numpy(), dtype=np.float64).reshape(-1, 3)
    except pyvips.Error as error:
        raise BadProfile("profile.damaged", profile=describe(profile)) from error
    if compensates(profile, intent, bpc=bpc):
        return compensate(colours, 0.0, source_black_l(profile, intent))
    return to_icc_absolute(colours, media_white(profile)) if intent == "absolute" else colours


def lab_to_card_numbers(lab: ArrayLike, profile: bytes, intent: str, *, bpc: bool) -> Floats:
    """Device numbers (n, channels), 0 to 1, of CIELAB (n, 3), as a picture's colours are taken to a card.

    As ``lab_to_device_by_profile``, but with black point compensation where ``bpc`` asks for it, and where the
    standard does so unasked (version 4, perceptual and saturation). ``bpc`` is not for ``absolute``. Raises BadProfile.
    """
    require_usable(profile)
    if not can_export(profile):
        raise BadProfile("profile.no-way-to-printer", profile=describe(profile))
    if compensates(profile, intent, bpc=bpc):
        lab = compensate(lab, card_black_l(profile, intent))
    return lab_to_device_by_profile(lab, profile, intent)
