"""The virtual scanner's own colour space and the ICC profile that describes it.

An input profile of ICC version 2 (ICC.1:2001-04), as scanners bring them, and written apart from
``tackside.profile`` on purpose: the readings are to meet a profile that was not made by their own hand. The
space has the primaries of ISO 22028-2 (ROMM RGB), which hold every colour that the virtual inks can make.
"""

from __future__ import annotations

import struct

import numpy as np

from tackside.colour.spaces import WHITE_D50, Floats, RgbSpace

# 1.8 as u8Fixed8Number can store it.
GAMMA = 461 / 256
_X, _Y, _Z = (float(value) for value in WHITE_D50)
_DESCRIPTION = b"Virtual flatbed, figures invented\0"
_COPYRIGHT = b"No rights reserved (CC0 1.0)\0"


def _decode(encoded: Floats) -> Floats:
    return np.asarray(np.sign(encoded) * np.abs(encoded) ** GAMMA)


def _encode(linear: Floats) -> Floats:
    return np.asarray(np.sign(linear) * np.abs(linear) ** (1 / GAMMA))


SCANNER_RGB = RgbSpace(
    name="scanner",
    red=(0.7347, 0.2653),
    green=(0.1596, 0.8404),
    blue=(0.0366, 0.0001),
    white=(_X / (_X + _Y + _Z), _Y / (_X + _Y + _Z)),
    decode=_decode,
    encode=_encode,
)


def scanner_profile() -> bytes:
    """The profile of ``SCANNER_RGB``; the same bytes each time."""
    red, green, blue = SCANNER_RGB.to_xyz_d50.T
    curve = struct.pack(">4s4xIH2x", b"curv", 1, round(GAMMA * 256))
    contents = {
        # 6.5.17: ASCII, then an empty Unicode and an empty script text.
        b"desc": struct.pack(">4s4xI", b"desc", len(_DESCRIPTION)) + _DESCRIPTION + b"\0" * 78,
        b"cprt": b"text\0\0\0\0" + _COPYRIGHT,
        b"wtpt": _xyz(WHITE_D50),
        b"rXYZ": _xyz(red),
        b"gXYZ": _xyz(green),
        b"bXYZ": _xyz(blue),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    entries, data = [], b""
    start = 128 + 4 + 12 * len(contents)
    for signature, content in contents.items():
        entries.append(struct.pack(">4sII", signature, start + len(data), len(content)))
        data += content + b"\0" * (-len(content) % 4)
    header = struct.pack(
        ">I4xI4s4s4s6H4s24x4x12s48x",
        start + len(data),
        0x02400000,
        b"scnr",
        b"RGB ",
        b"XYZ ",
        *(2026, 1, 1, 0, 0, 0),
        b"acsp",
        _fixed(WHITE_D50),
    )
    return header + struct.pack(">I", len(contents)) + b"".join(entries) + data


def _fixed(values: Floats) -> bytes:
    """s15Fixed16Number."""
    return struct.pack(f">{len(values)}i", *(round(float(value) * 65536) for value in values))


def _xyz(xyz: Floats) -> bytes:
    return b"XYZ \0\0\0\0" + _fixed(xyz)
