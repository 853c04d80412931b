"""What a scan's file tells of how it came about: a camera's tags, JPEG's tables, TIFF's colour encoding."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

HEAD_BYTES = 1 << 18
# The luminance table of ITU-T T.81 (ISO/IEC 10918-1), annex K.1, sums to so much; the common encoders scale it by
# a "quality" of 1 to 100 (docs/sources.md, S49): 50 leaves it as it is.
ANNEX_K_SUM = 3688.0
_PHOTOMETRIC, _COMPRESSION = 262, 259
_YCBCR, _JPEG_IN_TIFF = 6, (6, 7)
# Tags of a lens: a flatbed has none of them. Names as libvips gives EXIF's tags.
LENS_TAGS = (
    "FNumber",
    "FocalLength",
    "ExposureTime",
    "ISOSpeedRatings",
    "PhotographicSensitivity",
    "ApertureValue",
)


@dataclass(frozen=True)
class Origin:
    """``jpeg_quality``: 1 to 100, None for other files. ``camera``: whether a camera's lens is named in the tags.

    ``ycbcr``: a TIFF whose numbers are luma and chroma, not RGB, and not packed as JPEG.
    """

    jpeg_quality: int | None = None
    camera: bool = False
    ycbcr: bool = False


UNKNOWN = Origin()


def origin_of(path: Path, fields: list[str]) -> Origin:
    """What the first bytes of a file and libvips' list of its ``fields`` tell."""
    with path.open("rb") as stream:
        head = stream.read(HEAD_BYTES)
        ycbcr = head[:2] in (b"II", b"MM") and _is_ycbcr(head, stream)
    camera = any(field.startswith("exif-ifd") and field.endswith(LENS_TAGS) for field in fields)
    return Origin(jpeg_quality(head), camera, ycbcr)


def jpeg_quality(head: bytes) -> int | None:
    """The quality that a JPEG's first quantisation table stands for; None where there is none.

    Below about 20 the table's entries are capped at 255, and the figure comes out a few too high.
    """
    if not head.startswith(b"\xff\xd8"):
        return None
    at = 2
    while at + 4 <= len(head) and head[at] == 0xFF:
        kind, length = head[at + 1], struct.unpack_from(">H", head, at + 2)[0]
        if kind == 0xDB and at + 2 + length <= len(head) and length >= 67:
            wide = head[at + 4] >> 4
            if head[at + 4] & 15 == 0 and length >= 3 + (128 if wide else 64):
                table = np.frombuffer(head, ">u2" if wide else "u1", 64, at + 5)
                scale = 100.0 * float(table.sum()) / ANNEX_K_SUM
                quality = (200.0 - scale) / 2 if scale <= 100 else 5000.0 / scale
                return int(np.clip(round(quality), 1, 100))
        if kind == 0xDA:
            return None
        at += 2 + length
    return None


def _is_ycbcr(head: bytes, stream: BinaryIO) -> bool:
    """Whether the first directory of a TIFF says YCbCr without JPEG."""
    order = "<" if head[:2] == b"II" else ">"
    try:
        big = struct.unpack_from(order + "H", head, 2)[0] == 43
        start = struct.unpack_from(order + ("Q" if big else "I"), head, 8 if big else 4)[0]
        stream.seek(start)
        directory = stream.read(1 << 16)
        count = struct.unpack_from(order + ("Q" if big else "H"), directory, 0)[0]
        first, each = (8, 20) if big else (2, 12)
        tags: dict[int, int] = {}
        for entry in range(min(count, 512)):
            place = first + each * entry
            tag, kind = struct.unpack_from(order + "HH", directory, place)
            if tag in (_PHOTOMETRIC, _COMPRESSION):
                form = order + ("H" if kind == 3 else "I")
                tags[tag] = struct.unpack_from(form, directory, place + (12 if big else 8))[0]
    except (struct.error, OverflowError, OSError, ValueError):
        return False
    return tags.get(_PHOTOMETRIC) == _YCBCR and tags.get(_COMPRESSION) not in _JPEG_IN_TIFF
