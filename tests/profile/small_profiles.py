"""Small profiles to test with, all version 2: CMYK with an 8-bit table of its sixteen corners, and grey."""

from __future__ import annotations

import struct
from itertools import product

import numpy as np

PAPER = np.array([100.0, 0.0, 0.0])  # the table is media-relative: paper is white
INKS = np.array([[-45, -30, -45], [-50, 70, -5], [-8, -5, 85], [-80, 0, 2]], dtype=float)
WHITE = struct.pack(">4s4x3i", b"XYZ ", 63190, 65536, 54061)
COPYRIGHT = b"text\0\0\0\0None\0"


def corner_lab(cmyk: tuple[int, ...]) -> np.ndarray:
    """The invented colour of a full-or-none combination of inks, within what 8-bit Lab holds."""
    return np.clip(PAPER + np.array(cmyk) @ INKS, [0, -128, -128], [100, 127, 127])


def cmyk_profile(*, tables: tuple[bytes, ...] = (b"A2B0", b"A2B1"), header_intent: int = 0) -> bytes:
    """``tables`` are the signatures under which the one table is listed."""
    colours = np.array([corner_lab(cmyk) for cmyk in product((0, 1), repeat=4)])
    coded = np.rint(np.column_stack([colours[:, 0] * 2.55, colours[:, 1:] + 128])).astype(np.uint8)
    straight = bytes(range(256))
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    table = (
        struct.pack(">4s4xBBBx", b"mft1", 4, 3, 2) + identity + straight * 4 + coded.tobytes() + straight * 3
    )
    tags = [
        (b"desc", _described(b"Invented inks")),
        (b"cprt", COPYRIGHT),
        (b"wtpt", WHITE),
        *((signature, table) for signature in tables),
    ]
    return _profile(b"prtr", b"CMYK", b"Lab ", tags, header_intent)


def grey_profile(gamma: float) -> bytes:
    """A grey display profile with one curve, a plain power."""
    curve = struct.pack(">4s4xIHxx", b"curv", 1, round(gamma * 256))
    tags = [(b"desc", _described(b"Invented grey")), (b"cprt", COPYRIGHT), (b"wtpt", WHITE), (b"kTRC", curve)]
    return _profile(b"mntr", b"GRAY", b"XYZ ", tags, 0)


def _described(name: bytes) -> bytes:
    return struct.pack(">4s4xI", b"desc", len(name) + 1) + name + bytes(79)


def _profile(
    kind: bytes, space: bytes, connection: bytes, tags: list[tuple[bytes, bytes]], header_intent: int
) -> bytes:
    place = 128 + 4 + 12 * len(tags)
    entries, data = b"", b""
    for signature, content in tags:
        entries += struct.pack(">4sII", signature, place + len(data), len(content))
        data += content + bytes(-len(content) % 4)
    header = struct.pack(
        ">I4xI4s4s4s12s4s24xI3i48x",
        place + len(data),
        0x02100000,
        kind,
        space,
        connection,
        struct.pack(">6H", 2026, 1, 1, 0, 0, 0),
        b"acsp",
        header_intent,
        63190,
        65536,
        54061,
    )
    return header + struct.pack(">I", len(tags)) + entries + data
