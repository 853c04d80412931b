"""The small pieces that any profile is put together from (ISO 15076-1:2010, 7.3 and clause 10)."""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

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
