"""A face of the card as a JPEG (ITU-T T.81): colour at full resolution, exact resolution, profile.

Each row of blocks ends at a restart marker, so it stands for itself: what the rows of a run share is encoded once, and
of a card only the rows of blocks that its words reach. The file is the same as if all of it were encoded.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.card.pixels.raster import DrawnPart, FaceGround
from tackside.profile.link.convert import with_profile
from tackside.units import MM_PER_INCH

EXIF, ICC = 1, 8  # VipsForeignKeep
EDGE_PX = 65_535  # T.81, table B.2: the frame header holds 16 bits for each side
BLOCK = 8  # pixels; T.81, A.1.1 and A.2.3: of three channels alike, a coded unit is a block of each
START_OF_SCAN, RESTART = 0xDA, 0xD0  # T.81, table B.1: the second bytes of markers


def save_jpeg(sheet: DrawnPart, profile: bytes, path: Path, quality: int) -> None:
    """Write a sheet, whose ``xres`` and ``yres`` say its resolution. Same input, same bytes.

    libvips puts the resolution into Exif; it is said in the JFIF header too, where most programs look. Raises
    pyvips.Error, from the sheet's pictures, and OSError.
    """
    dots = round(sheet.image.xres * MM_PER_INCH), round(sheet.image.yres * MM_PER_INCH)
    # JFIF 1.02: APP0 right after the start of the image; version, unit (1: dots an inch), density, no thumbnail.
    jfif = struct.pack(">HH5s2sBHHBB", 0xFFE0, 16, b"JFIF\0", b"\1\2", 1, *dots, 0, 0)
    if sheet.ground is None:
        data = memoryview(_encoded(with_profile(sheet.image, profile), quality, EXIF | ICC))
        parts: Iterable[bytes | memoryview] = (data[:2], jfif, data[2:])
    else:
        whole = _of_ground(sheet.ground, sheet.image, profile, quality)
        parts = (whole.data[:2], jfif, *_with_changes(whole, sheet, quality))
    with path.open("wb") as file:
        file.writelines(parts)


def jpeg_of(image: pyvips.Image, quality: int) -> bytes:
    """RGB of 8 bits as a bare JPEG, colour at full resolution, for a file that says profile and size itself."""
    return cast(
        bytes, image.jpegsave_buffer(Q=quality, subsample_mode="off", optimize_coding=True, keep="none")
    )


@dataclass(frozen=True, eq=False)
class _Rows:
    """A JPEG; ``starts`` is where each row of blocks begins in ``data``. Between two of them stands a marker of two
    bytes, as it does after the last: that of the end."""

    data: memoryview
    starts: NDArray[np.int64]

    def row(self, number: int) -> memoryview:
        return self.data[self.starts[number] : self.end(number)]

    def end(self, number: int) -> int:
        following = number + 1
        return int(self.starts[following] if following < len(self.starts) else len(self.data)) - 2


def _of_ground(ground: FaceGround, sheet: pyvips.Image, profile: bytes, quality: int) -> _Rows:
    """The ground encoded, once; the resolution is that of ``sheet``."""

    def encoded() -> _Rows:
        image = with_profile(ground.image.copy(xres=sheet.xres, yres=sheet.yres), profile)
        return _by_rows(_encoded(image, quality, EXIF | ICC))

    return ground.once((profile, quality, sheet.xres, sheet.yres), encoded)


def _with_changes(whole: _Rows, sheet: DrawnPart, quality: int) -> Iterator[bytes | memoryview]:
    """``whole`` from its third byte on, rows of blocks that have changed encoded again."""
    image, at = sheet.image, 2
    for first, past in _rows_of(sheet.changed):
        yield whole.data[at : whole.starts[first]]
        strip = image.crop(0, first * BLOCK, image.width, min(past * BLOCK, image.height) - first * BLOCK)
        fresh = _by_rows(_encoded(strip, quality, keep=0))
        for number in range(first, past):
            yield fresh.row(number - first)
            if number + 1 < past:
                yield bytes((0xFF, RESTART + number % 8))  # T.81, B.2.1: they are counted modulo 8
        at = whole.end(past - 1)
    yield whole.data[at:]


def _rows_of(changed: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Stretches of rows of blocks, each (first, past the last), that hold these of pixels; none touches another."""
    found: list[tuple[int, int]] = []
    for first, past in sorted((first // BLOCK, -(-past // BLOCK)) for first, past in changed):
        if found and first <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], past)
        else:
            found.append((first, past))
    return found


def _encoded(image: pyvips.Image, quality: int, keep: int) -> bytes:
    """One row of blocks to each restart interval. Huffman's tables are those of T.81, K.3, whatever the picture."""
    blocks = -(-image.width // BLOCK)
    return cast(
        bytes, image.jpegsave_buffer(Q=quality, subsample_mode="off", restart_interval=blocks, keep=keep)
    )


def _by_rows(data: bytes) -> _Rows:
    """Where the rows begin: in coded data a byte FF that is no marker is followed by 00 (T.81, B.1.1.5)."""
    at = 2
    while data[at + 1] != START_OF_SCAN:
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    first = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    codes = np.frombuffer(data, np.uint8)[first:]
    restarts = np.flatnonzero((codes[:-1] == 0xFF) & (codes[1:] & 0xF8 == RESTART))
    return _Rows(memoryview(data), np.concatenate([[first], first + restarts + 2]))
