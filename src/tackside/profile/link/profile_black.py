"""Where black lies in a profile, as L* beside its white, estimated in the steps of ISO 18619 (docs/sources.md, S74).

The lightness is the one that LittleCMS finds (the tests compare them). Every black is taken for a neutral, as LittleCMS
did until its version 2.17; later ones keep the tint of the darkest colour, and their greys with it. Nothing here asks
the library to find or to compensate a black, so its version does not matter.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from tackside.colour.spaces import DEEPEST, KAPPA, Floats
from tackside.profile.icc.inspect import CHANNELS, read_header, read_tags
from tackside.profile.link.convert import can_export, device_to_lab_by_profile, lab_to_device_by_profile

PICTURE_INTENTS = ("perceptual", "saturation")
REFERENCE_BLACK_L = KAPPA * 0.0034731  # of the perceptual reference medium (docs/sources.md, S107)
RAMP_STEPS = 256
NEGATIVE_L = 95.0  # a "black" lighter than this is full light of a profile that runs the other way
DARK_END, STRAIGHT = (
    0.2,
    4.0,
)  # of the range; L* by which the rest of the ramp may be off and still be straight
SHADOWS = {"relative": (0.1, 0.5), "perceptual": (0.03, 0.25), "saturation": (0.03, 0.25)}
FEWEST_SHADOWS = 3


def compensates(profile: bytes, intent: str, *, bpc: bool) -> bool:
    """Whether black is compensated: where it was asked for, and by the picture intents of version 4, whose black is the
    reference medium's. Never for ``absolute``."""
    if intent == "absolute":
        return False
    return bpc or (intent in PICTURE_INTENTS and read_header(profile).version[0] >= 4)


@lru_cache(maxsize=64)
def source_black_l(profile: bytes, intent: str) -> float:
    """L* of the black of a picture's profile by ``perceptual``, ``relative`` or ``saturation``. Raises BadProfile."""
    header = read_header(profile)
    if header.version[0] >= 4 and intent in PICTURE_INTENTS:
        return _darkest(profile, "relative") if _has(profile, "rXYZ") else REFERENCE_BLACK_L
    if intent == "relative" and header.profile_class == "output" and header.colour_space == "CMYK":
        return _printed_black(profile)
    return _darkest(profile, intent)


@lru_cache(maxsize=64)
def card_black_l(profile: bytes, intent: str) -> float:
    """L* of the black that a printer's profile reaches by ``perceptual``, ``relative`` or ``saturation``.

    0 where the profile's way to the printer and back does not tell. Raises BadProfile.
    """
    if intent in PICTURE_INTENTS and read_header(profile).version[0] >= 4:
        return source_black_l(profile, intent)
    number = {"perceptual": "0", "relative": "1", "saturation": "2"}[intent]
    if not (_has(profile, f"B2A{number}") or _has(profile, "B2A0")):
        return source_black_l(profile, intent)
    first = source_black_l(profile, intent) if intent == "relative" else 0.0
    asked = np.linspace(0, 100, RAMP_STEPS)
    printed = _there_and_back(profile, asked, intent)
    printed[1:] = np.minimum.accumulate(printed[:0:-1])[::-1]  # made to rise
    low, high = float(printed[0]), float(printed[-1])
    if not low < high:
        return 0.0
    straight = (asked <= low + DARK_END * (high - low)) | (np.abs(asked - printed) < STRAIGHT)
    if intent == "relative" and straight.all():
        return first
    share = (printed - low) / (high - low)
    start, end = SHADOWS[intent]
    shadows = (share >= start) & (share < end)
    if np.count_nonzero(shadows) < FEWEST_SHADOWS:
        return 0.0
    return _foot(asked[shadows], share[shadows])


def _foot(asked: Floats, share: Floats) -> float:
    """Where a parabola through the shadows comes down to black: L* 0 to DEEPEST, 0 where it never does."""
    if len(asked) < FEWEST_SHADOWS + 1:
        return 0.0
    square, slope, level = np.polynomial.Polynomial.fit(asked, share, 2).convert().coef[::-1]
    if abs(square) < 1e-10:
        return 0.0 if abs(slope) < 1e-10 else float(np.clip(-level / slope, 0, DEEPEST))
    inside = slope * slope - 4 * square * level
    if inside <= 0:
        return 0.0
    return float(np.clip((-slope + np.sqrt(inside)) / (2 * square), 0, DEEPEST))


def _darkest(profile: bytes, intent: str) -> float:
    """L* of no light, or of all inks in full."""
    space = read_header(profile).colour_space
    full = 1.0 if space == "CMYK" else 0.0
    lightness = float(
        device_to_lab_by_profile(np.full((1, CHANNELS[space]), full), profile, intent=intent)[0, 0]
    )
    return 0.0 if lightness > NEGATIVE_L else float(np.clip(lightness, 0, DEEPEST))


def _printed_black(profile: bytes) -> float:
    """L* of the black that the perceptual table prints: all inks in full would be more than the paper takes."""
    if not can_export(profile):
        return 0.0
    asked = REFERENCE_BLACK_L if read_header(profile).version[0] >= 4 else 0.0
    device = lab_to_device_by_profile([[asked, 0, 0]], profile, "perceptual")
    return float(np.clip(device_to_lab_by_profile(device, profile)[0, 0], 0, DEEPEST))


def _there_and_back(profile: bytes, lightness: Floats, intent: str) -> Floats:
    """L* that comes out of the relative table where neutrals are asked for by ``intent``."""
    asked = np.column_stack([lightness, np.zeros((len(lightness), 2))])
    return device_to_lab_by_profile(lab_to_device_by_profile(asked, profile, intent), profile)[:, 0].copy()


def _has(profile: bytes, signature: str) -> bool:
    return any(tag.signature == signature for tag in read_tags(profile))
