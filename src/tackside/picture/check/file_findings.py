"""What a picture's file says of itself: profile, colour model, depth, transparency, turn, size."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from pathlib import Path

import numpy as np
import pyvips

from tackside.colour.gamut import grid_volume
from tackside.colour.rgb_spaces import SRGB, rgb_to_lab
from tackside.errors import BadImage, BadProfile
from tackside.picture.check.finding import Finding, percent
from tackside.picture.file.kinds import MEND, kind_of
from tackside.picture.file.open import MOST_PIXELS, Picture
from tackside.profile.icc.inspect import describe, profile_class
from tackside.profile.link.convert import embedded_profile, require_usable, rgb_to_lab_by_profile

# Gamut volume over sRGB's. Adobe RGB (1998) has about 1.45 times; spaces that hold all surface colours over 2.
WIDE = 1.2
TOO_WIDE_FOR_8_BITS = 1.75
ENORMOUS_PIXELS = 200_000_000  # past any small printer's largest sheet at its own grid, A3 at 1100 ppi
GRID_STEPS = 7
SEEN_SHARE = 0.001
EXPORT_SRGB = "export it anew as RGB in sRGB, with the profile embedded"


def on_refusal(path: Path, error: BadImage) -> Finding:
    """Why ``open_picture`` would not take the file, under a name that scripts can rely on."""
    name = "broken"
    header = _header_or_none(path)
    if header is not None:
        frames = header.get("n-pages") if header.get_typeof("n-pages") else 1
        if header.width * header.height > MOST_PIXELS:
            name = "enormous"
        elif frames > 1:
            name = "several-pictures"
        elif header.interpretation == "cmyk":
            name = "cmyk-without-profile"
    return Finding(name, "stop", error.what, error.fix)


def on_file(picture: Picture) -> list[Finding]:
    """Findings that need the header only."""
    header = _header_or_none(picture.path)
    if header is None:
        return [on_refusal(picture.path, BadImage(f"{picture.path} cannot be read", MEND))]
    return [
        *_on_profile(picture, header),
        *_on_colour_model(header),
        *_on_turn(picture),
        *_on_size(picture),
    ]


def on_transparency(share: float) -> list[Finding]:
    if share == 0:
        return []
    return [
        Finding(
            "transparent",
            "mend" if share >= SEEN_SHARE else "note",
            f"{percent(share)} of it is transparent; it will be laid on white, and the card's own white is another",
            "lay it on the ground that you want, and save it without transparency",
            round(share, 5),
            "of the pixels",
        )
    ]


def _on_profile(picture: Picture, header: pyvips.Image) -> list[Finding]:
    embedded = embedded_profile(header)
    if embedded is None:
        if header.interpretation in ("lab", "labs", "labq"):
            return []
        return [
            Finding(
                "profile-missing",
                "mend",
                "it has no colour profile, so its colours are a guess; sRGB is assumed",
                "save it anew with the profile of the space it was edited in embedded",
            )
        ]
    if picture.profile is None:
        return [_damaged(embedded)]
    kind = profile_class(embedded)
    if kind not in ("display", "colour space"):
        return [
            Finding(
                "profile-odd",
                "mend",
                f'its profile "{describe(embedded)}" is of the class {kind}: its numbers are those of one device',
                "convert it to sRGB in whatever made it" if kind == "input" else EXPORT_SRGB,
            )
        ]
    return _on_wide_space(embedded, picture.bits)


def _damaged(embedded: bytes) -> Finding:
    try:
        require_usable(embedded)
        reason = "its colour profile does not fit its colours"
    except BadProfile as error:
        reason = error.what
    return Finding(
        "profile-damaged",
        "mend",
        f"{reason}; sRGB is assumed in its place",
        "save it anew with its profile embedded",
    )


def _on_wide_space(profile: bytes, bits: int) -> list[Finding]:
    size = _volume_over_srgb(profile)
    if size is None or size < WIDE:
        return []
    name = describe(profile)
    if size >= TOO_WIDE_FOR_8_BITS and bits == 8:
        return [
            Finding(
                "profile-wide-8-bits",
                "mend",
                f'its space "{name}" is {size:.1f} times as large as sRGB, too large for 8 bits: soft tones may band',
                "export it at 16 bits, or in sRGB from the original",
                round(size, 2),
                "times sRGB",
            )
        ]
    return [
        Finding(
            "profile-wide",
            "note",
            f'its space "{name}" is {size:.1f} times as large as sRGB; read as sRGB it would print dull',
            "print from a program that honours the embedded profile",
            round(size, 2),
            "times sRGB",
        )
    ]


def _on_colour_model(header: pyvips.Image) -> list[Finding]:
    if header.interpretation == "cmyk":
        return [
            Finding(
                "cmyk",
                "mend",
                "it is a CMYK file, separated for another press; small inkjets take RGB, and what was lost stays lost",
                "go back to the RGB original if there is one",
            )
        ]
    if header.bands - int(header.hasalpha()) == 1:
        return [
            Finding(
                "grey",
                "note",
                "it is a grey file; a printer mixes greys from colours, so a cast will show more than in a picture",
                "print the grey ramp of a test sheet first, and compare under daylight",
            )
        ]
    return []


def _on_turn(picture: Picture) -> list[Finding]:
    if not picture.turned:
        return []
    return [
        Finding(
            "turned",
            "note",
            "its EXIF data ask for a turn, which some programs overlook; Tackside turns it upright",
            "if it lies on its side anywhere, save it anew turned for good",
        )
    ]


def _on_size(picture: Picture) -> list[Finding]:
    pixels = picture.size_px[0] * picture.size_px[1]
    if pixels <= ENORMOUS_PIXELS:
        return []
    return [
        Finding(
            "enormous",
            "note",
            f"it has {pixels / 1e6:,.0f} million pixels, more than a card can show",
            "reduce it to the size that the card needs",
            round(pixels / 1e6, 1),
            "million pixels",
        )
    ]


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
        return pyvips.Image.new_from_file(str(path), access="sequential")
    except (pyvips.Error, BadImage):
        return None
