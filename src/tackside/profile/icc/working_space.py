"""ICC profiles of the two working spaces, built here so that every sheet carries free, reproducible ones.

Three-component matrix profiles of ISO 15076-1:2010 (version 4.3): D50 connection space, Bradford ``chad``,
parametric curves. The bytes depend on nothing but this file and the numbers of ``tackside.colour``.
"""

from __future__ import annotations

import struct
from functools import lru_cache
from typing import Literal

import numpy as np

from tackside.colour.rgb_spaces import (
    ADOBE_GAMMA,
    ADOBE_RGB,
    DISPLAY_P3,
    SRGB,
    RgbSpace,
    xy_to_xyz,
)
from tackside.colour.spaces import WHITE_D50, Floats, bradford_matrix
from tackside.profile.icc.write import (
    HEADER_SIZE,
    fixed,
    tag_table,
    text_in_english,
    with_profile_id,
    xyz_type,
)

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
