"""ICC profiles of the two working spaces, built here so that every sheet carries free, reproducible ones; and the small
pieces that any profile is put together from (ISO 15076-1:2010, 7.3 and clause 10).

Three-component matrix profiles of ISO 15076-1:2010 (version 4.3): D50 connection space, Bradford ``chad``,
parametric curves. The bytes depend on nothing but this file and the numbers of ``tackside.colour``.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import (
    ADOBE_GAMMA,
    ADOBE_RGB,
    DISPLAY_P3,
    SRGB,
    WHITE_D50,
    Floats,
    RgbSpace,
    bradford_matrix,
    xy_to_xyz,
)

HEADER_SIZE = 128


def fixed(values: ArrayLike) -> bytes:
    """s15Fixed16Number of each value."""
    flat = np.asarray(values, dtype=np.float64).ravel()
    return struct.pack(f">{len(flat)}i", *(round(float(value) * 65536) for value in flat))


def xyz_type(xyz: ArrayLike) -> bytes:
    """XYZType of one XYZ, Y = 1 for the perfect diffuser."""
    return b"XYZ \0\0\0\0" + fixed(xyz)


def text_in_english(text: str) -> bytes:
    """multiLocalizedUnicodeType with one record, English of the United Kingdom."""
    encoded = text.encode("utf-16-be")
    return struct.pack(">4s4xII2s2sII", b"mluc", 1, 12, b"en", b"GB", len(encoded), 28) + encoded


def tag_table(tags: Sequence[tuple[bytes, bytes]]) -> tuple[bytes, bytes]:
    """Clause 7.3: the table, and the tag data on 4-byte boundaries; equal data are stored once."""
    start = HEADER_SIZE + 4 + 12 * len(tags)
    parts, places, length = [], dict[bytes, int](), 0
    entries = []
    for signature, content in tags:
        if content not in places:
            places[content] = start + length
            padded = content + b"\0" * (-len(content) % 4)
            parts.append(padded)
            length += len(padded)
        entries.append(struct.pack(">4sII", signature, places[content], len(content)))
    return struct.pack(">I", len(tags)) + b"".join(entries), b"".join(parts)


def with_profile_id(profile: bytes) -> bytes:
    """Clause 7.2.18: the MD5 of the whole profile with flags, rendering intent and the ID itself set to zero."""
    blank = profile[:44] + bytes(4) + profile[48:64] + bytes(4) + profile[68:84] + bytes(16) + profile[100:]
    digest = hashlib.md5(blank, usedforsecurity=False).digest()
    return profile[:84] + digest + profile[100:]


SpaceName = Literal["srgb", "adobe-rgb"]

COPYRIGHT = "No rights reserved: dedicated to the public domain under CC0 1.0"
VERSION = 0x04300000
# IEC 61966-2-1 as parametric function type 3 of ISO 15076-1: g, a, b, c, d.
SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
CREATED = (2026, 1, 1, 0, 0, 0)  # fixed: same input, same bytes


@lru_cache(maxsize=2)
def working_space_profile(space: SpaceName) -> bytes:
    """The ICC profile (v4, display class, RGB to XYZ under D50) of a working space."""
    if space == "srgb":
        return _assemble("sRGB IEC 61966-2-1", SRGB, _parametric(3, SRGB_CURVE))
    if space == "adobe-rgb":
        return _assemble("compatible with Adobe RGB (1998)", ADOBE_RGB, _parametric(0, (ADOBE_GAMMA,)))
    raise ValueError(f"no working space called {space!r}")


@lru_cache(maxsize=1)
def display_p3_profile() -> bytes:
    """The profile of Display P3, for a phone's picture that names these primaries and brings no profile along."""
    return _assemble("Display P3", DISPLAY_P3, _parametric(3, SRGB_CURVE))


def _assemble(description: str, space: RgbSpace, curve: bytes) -> bytes:
    adaptation = bradford_matrix(xy_to_xyz(space.white), WHITE_D50)
    chad = (b"chad", b"sf32\0\0\0\0" + fixed(adaptation.ravel()))
    return _matrix_profile(description, chad, _colorants(space), curve)


def xyz_profile(curve: tuple[float, ...]) -> bytes:
    """A profile whose channels are X, Y and Z over those of D50, 0 to 1, coded by a parametric curve of type 3.

    Full numbers are then D50 itself: LittleCMS sends the white of one RGB space to that of another, whatever else.
    """
    unadapted = (b"chad", b"sf32\0\0\0\0" + fixed(np.eye(3).ravel()))
    return _matrix_profile("XYZ, coded", unadapted, np.diag(WHITE_D50), _parametric(3, curve))


def _matrix_profile(description: str, chad: tuple[bytes, bytes], colorants: Floats, curve: bytes) -> bytes:
    red, green, blue = colorants
    tags = [
        (b"desc", text_in_english(description)),
        (b"cprt", text_in_english(COPYRIGHT)),
        (b"wtpt", xyz_type(WHITE_D50)),
        chad,
        (b"rXYZ", xyz_type(red)),
        (b"gXYZ", xyz_type(green)),
        (b"bXYZ", xyz_type(blue)),
        (b"rTRC", curve),
        (b"gTRC", curve),
        (b"bTRC", curve),
    ]
    table, data = tag_table(tags)
    return with_profile_id(_header(HEADER_SIZE + len(table) + len(data)) + table + data)


def _header(size: int) -> bytes:
    """Clause 7.2, with flags, intent (perceptual, 0) and profile ID zero."""
    return struct.pack(
        ">I4sI4s4s4s6H4s4sI4s4sQI12s4s16s28x",
        size,
        b"\0\0\0\0",  # no preferred colour engine
        VERSION,
        b"mntr",
        b"RGB ",
        b"XYZ ",
        *CREATED,
        b"acsp",
        b"\0\0\0\0",
        0,
        b"\0\0\0\0",
        b"\0\0\0\0",
        0,
        0,
        fixed(WHITE_D50),
        b"\0\0\0\0",
        b"\0" * 16,
    )


def _colorants(space: RgbSpace) -> Floats:
    """XYZ under D50 of red, green and blue (rows), rounded as stored; they sum to the white exactly."""
    columns = np.round(space.to_xyz_d50 * 65536)
    white = np.round(np.asarray(WHITE_D50) * 65536)
    # What rounding leaves over goes to green, the largest: full RGB is then the connection space's white.
    columns[:, 1] += white - columns.sum(axis=1)
    return np.asarray(columns.T / 65536)


def _parametric(function: int, parameters: tuple[float, ...]) -> bytes:
    return struct.pack(">4s4xHxx", b"para", function) + fixed(np.array(parameters))
