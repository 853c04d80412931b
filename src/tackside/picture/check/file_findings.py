"""What a picture's file says of itself: profile, colour model, depth, transparency, turn, size."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from pathlib import Path

import numpy as np
import pyvips

from tackside.colour.gamut import grid_volume
from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.errors import BadImage, BadProfile
from tackside.files.tiff import meant_channels
from tackside.messages.message import Message
from tackside.picture.check.finding import PictureFinding, Severity, percent
from tackside.picture.file.open import Picture, kind_of
from tackside.profile.icc.inspect import describe, profile_class
from tackside.profile.link.convert import embedded_profile, require_usable, rgb_to_lab_by_profile
from tackside.profile.link.convert_picture import image_of

# Gamut volume over sRGB's. Adobe RGB (1998) has about 1.45 times; spaces that hold all surface colours over 2.
WIDE = 1.2
TOO_WIDE_FOR_8_BITS = 1.75
ENORMOUS_PIXELS = 200_000_000  # past any small printer's largest sheet at its own grid, A3 at 1100 ppi
GRID_STEPS = 7
SEEN_SHARE = 0.001
# What ``open_picture`` says of a file that it does not take, and the finding's name that scripts rely on.
REFUSALS = {
    "picture.too-many-pixels": "enormous",
    "picture.too-large-at-once": "enormous",
    "picture.animation": "several-pictures",
    "picture.several": "several-pictures",
    "picture.cmyk-without-profile": "cmyk-without-profile",
    "picture.cmyk-profile": "cmyk-without-profile",
}


def on_refusal(error: BadImage) -> PictureFinding:
    """Why ``open_picture`` would not take the file."""
    return PictureFinding(REFUSALS.get(error.message.code, "broken"), "stop", error.message)


def on_file(picture: Picture) -> list[PictureFinding]:
    """Findings that need the header only."""
    header = _header_or_none(picture.path)
    if header is None:
        return [on_refusal(BadImage("picture.unreadable", file=str(picture.path)))]
    return [
        *_on_profile(picture, header),
        *_on_colour_model(header),
        *_on_channels(picture),
        *_on_turn(picture),
        *_on_size(picture),
    ]


def on_transparency(share: float) -> list[PictureFinding]:
    if share == 0:
        return []
    severity: Severity = "mend" if share >= SEEN_SHARE else "note"
    told = Message("picture.transparent", share=percent(share))
    return [PictureFinding("transparent", severity, told, round(share, 5), "of the pixels")]


def _on_profile(picture: Picture, header: pyvips.Image) -> list[PictureFinding]:
    embedded = embedded_profile(header)
    if embedded is None:
        if header.interpretation in ("lab", "labs", "labq"):
            return []
        return [PictureFinding("profile-missing", "mend", Message("picture.profile-missing"))]
    if picture.profile is None:
        return [PictureFinding("profile-damaged", "mend", _damaged(embedded))]
    kind = profile_class(embedded)
    if kind not in ("display", "colour space"):
        code = "picture.profile-odd-input" if kind == "input" else "picture.profile-odd"
        return [PictureFinding("profile-odd", "mend", Message(code, profile=describe(embedded), kind=kind))]
    return _on_wide_space(embedded, picture.bits)


def _damaged(embedded: bytes) -> Message:
    try:
        require_usable(embedded)
        reason = Message("picture.profile-does-not-fit")
    except BadProfile as error:
        reason = error.message
    return Message("picture.profile-damaged", reason=reason)


def _on_wide_space(profile: bytes, bits: int) -> list[PictureFinding]:
    size = _volume_over_srgb(profile)
    if size is None or size < WIDE:
        return []
    name: str = "profile-wide"
    severity: Severity = "note"
    if size >= TOO_WIDE_FOR_8_BITS and bits == 8:
        name, severity = "profile-wide-8-bits", "mend"
    told = Message(f"picture.{name}", profile=describe(profile), times=size)
    return [PictureFinding(name, severity, told, round(size, 2), "times sRGB")]


def _on_colour_model(header: pyvips.Image) -> list[PictureFinding]:
    if header.interpretation == "cmyk":
        return [PictureFinding("cmyk", "mend", Message("picture.cmyk"))]
    if header.bands - int(header.hasalpha()) == 1:
        return [PictureFinding("grey", "note", Message("picture.grey"))]
    return []


def _on_channels(picture: Picture) -> list[PictureFinding]:
    unmeant = [each.value("count") for each in picture.warnings if each.code == "picture.channels-left-out"]
    return [
        PictureFinding("channels-left-out", "note", Message("picture.selections-saved", count=count))
        for count in unmeant
    ]


def _on_turn(picture: Picture) -> list[PictureFinding]:
    return [PictureFinding("turned", "note", Message("picture.turned"))] if picture.turned else []


def _on_size(picture: Picture) -> list[PictureFinding]:
    pixels = picture.size_px[0] * picture.size_px[1]
    if pixels <= ENORMOUS_PIXELS:
        return []
    told = Message("picture.enormous", million=pixels / 1e6)
    return [PictureFinding("enormous", "note", told, round(pixels / 1e6, 1), "million pixels")]


@lru_cache(maxsize=32)
def _volume_over_srgb(profile: bytes) -> float | None:
    """Gamut volume of an RGB space over sRGB's, both by tetrahedra of the same grid."""
    steps = np.linspace(0, 1, GRID_STEPS)
    grid = np.array(list(product(steps, repeat=3)))
    shape = (GRID_STEPS, GRID_STEPS, GRID_STEPS, 3)
    try:
        lab = rgb_to_lab_by_profile(grid, profile)
    except BadProfile:
        return None
    return grid_volume(lab.reshape(shape)) / grid_volume(rgb_to_lab(grid, SRGB).reshape(shape))


def _header_or_none(path: Path) -> pyvips.Image | None:
    try:
        kind_of(path)
        return meant_channels(image_of(path, access="sequential"), path)
    except (pyvips.Error, BadImage):
        return None
