"""ICC profiles of the two working spaces, built here so that every sheet carries free, reproducible ones.

Three-component matrix profiles of ISO 15076-1:2010 (version 4.3): D50 connection space, Bradford ``chad``,
parametric curves. The bytes depend on nothing but this file and the numbers of ``tackside.colour``.
"""

from __future__ import annotations

import hashlib
import struct
from functools import lru_cache
from typing import Literal

import numpy as np

from tackside.colour.adaptation import bradford_matrix
from tackside.colour.rgb_spaces import ADOBE_GAMMA, ADOBE_RGB, SRGB, RgbSpace, xy_to_xyz
from tackside.colour.spaces import WHITE_D50, Floats

SpaceName = Literal["srgb", "adobe-rgb"]

COPYRIGHT = "No rights reserved: dedicated to the public domain under CC0 1.0"
VERSION = 0x04300000
CREATED = (2026, 1, 1, 0, 0, 0)  # fixed: same input, same bytes
HEADER_SIZE = 128


@lru_cache(maxsize=2)
def working_space_profile(space: SpaceName) -> bytes:
    """The ICC profile (v4, display class, RGB to XYZ under D50) of a working space."""
    if space == "srgb":
        # IEC 61966-2-1 as parametric function type 3 of ISO 15076-1: g, a, b, c, d.
        curve = _parametric(3, (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
        return _assemble("sRGB IEC 61966-2-1", SRGB, curve)
    if space == "adobe-rgb":
        return _assemble("compatible with Adobe RGB (1998)", ADOBE_RGB, _parametric(0, (ADOBE_GAMMA,)))
    raise ValueError(f"no working space called {space!r}")


def _assemble(description: str, space: RgbSpace, curve: bytes) -> bytes:
    adaptation = bradford_matrix(xy_to_xyz(space.white), WHITE_D50)
    chad = (b"chad", b"sf32\0\0\0\0" + _fixed(adaptation.ravel()))
    return _matrix_profile(description, chad, _colorants(space), curve)


def xyz_profile(curve: tuple[float, ...]) -> bytes:
    """A profile whose channels are X, Y and Z over those of D50, 0 to 1, coded by a parametric curve of type 3.

    Full numbers are then D50 itself: LittleCMS sends the white of one RGB space to that of another, whatever else.
    """
    unadapted = (b"chad", b"sf32\0\0\0\0" + _fixed(np.eye(3).ravel()))
    return _matrix_profile("XYZ, coded", unadapted, np.diag(WHITE_D50), _parametric(3, curve))


def _matrix_profile(description: str, chad: tuple[bytes, bytes], colorants: Floats, curve: bytes) -> bytes:
    red, green, blue = colorants
    tags = [
        (b"desc", _text(description)),
        (b"cprt", _text(COPYRIGHT)),
        (b"wtpt", _xyz(WHITE_D50)),
        chad,
        (b"rXYZ", _xyz(red)),
        (b"gXYZ", _xyz(green)),
        (b"bXYZ", _xyz(blue)),
        (b"rTRC", curve),
        (b"gTRC", curve),
        (b"bTRC", curve),
    ]
    table, data = _tag_table(tags)
    header = _header(HEADER_SIZE + len(table) + len(data))
    # Clause 7.2.18: the MD5 of the whole profile with flags, rendering intent and the ID itself set to zero,
    # which they are at this point.
    profile_id = hashlib.md5(header + table + data, usedforsecurity=False).digest()
    return header[:84] + profile_id + header[100:] + table + data


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
        _fixed(WHITE_D50),
        b"\0\0\0\0",
        b"\0" * 16,
    )


def _tag_table(tags: list[tuple[bytes, bytes]]) -> tuple[bytes, bytes]:
    """Clause 7.3: the table, and the tag data on 4-byte boundaries; equal data are stored once."""
    start = HEADER_SIZE + 4 + 12 * len(tags)
    data, places = b"", {}
    entries = []
    for signature, content in tags:
        if content not in places:
            places[content] = start + len(data)
            data += content + b"\0" * (-len(content) % 4)
        entries.append(struct.pack(">4sII", signature, places[content], len(content)))
    return struct.pack(">I", len(tags)) + b"".join(entries), data


def _colorants(space: RgbSpace) -> Floats:
    """XYZ under D50 of red, green and blue (rows), rounded as stored; they sum to the white exactly."""
    columns = np.round(space.to_xyz_d50 * 65536)
    white = np.round(np.asarray(WHITE_D50) * 65536)
    # What rounding leaves over goes to green, the largest: full RGB is then the connection space's white.
    columns[:, 1] += white - columns.sum(axis=1)
    return np.asarray(columns.T / 65536)


def _fixed(values: Floats) -> bytes:
    """s15Fixed16Number."""
    return struct.pack(f">{len(values)}i", *(round(float(value) * 65536) for value in values))


def _xyz(xyz: Floats) -> bytes:
    return b"XYZ \0\0\0\0" + _fixed(xyz)


def _parametric(function: int, parameters: tuple[float, ...]) -> bytes:
    return struct.pack(">4s4xHxx", b"para", function) + _fixed(np.array(parameters))


def _text(text: str) -> bytes:
    """multiLocalizedUnicodeType with one record, English of the United Kingdom."""
    encoded = text.encode("utf-16-be")
    return struct.pack(">4s4xII2s2sII", b"mluc", 1, 12, b"en", b"GB", len(encoded), 28) + encoded
