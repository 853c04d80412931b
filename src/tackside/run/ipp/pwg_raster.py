"""A page as PWG Raster (PWG 5102.4), which every IPP Everywhere printer takes: exact pixels at an exact resolution."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

KIND = "image/pwg-raster"
SYNC = b"RaS2"
# PWG 5102.4 table 1, ColorSpace: sRGB 19, Adobe RGB 20; 8 bits a colour, chunky.
COLOUR_SPACES = {"srgb": 19, "adobe-rgb": 20}
# Its names in pwg-raster-document-type-supported.
TYPES = {"srgb": "srgb_8", "adobe-rgb": "adobe-rgb_8"}
_HEADER_BYTES = 1796
_MOST_REPEATS = 256  # of a line
_MOST_PIXELS = 128  # of a run


@dataclass(frozen=True)
class Page:
    """What the header says beside the pixels. ``quality`` is IPP's 3, 4 or 5; ``media_type`` may be empty."""

    ppi: int
    size_mm: tuple[float, float]
    space: str = "srgb"
    quality: int = 5
    media_type: str = ""
    copies: int = 1


def pwg_raster(pixels: NDArray[np.uint8], page: Page) -> Iterator[bytes]:
    """The file, piece by piece, of one page of ``pixels`` (h, w, 3)."""
    yield SYNC
    yield _header(pixels, page)
    height = pixels.shape[0]
    row = 0
    while row < height:
        same = row + 1
        while same < height and same - row < _MOST_REPEATS and np.array_equal(pixels[same], pixels[row]):
            same += 1
        yield bytes([same - row - 1]) + _line(pixels[row])
        row = same


def _line(line: NDArray[np.uint8]) -> bytes:
    """One line: a run of its first colour, pixels as they are, and a run of its last colour (section 4.2)."""
    width = line.shape[0]
    unlike = np.flatnonzero((line != line[0]).any(axis=1))
    if unlike.size == 0:
        return _run(line[0], width)
    first = int(unlike[0])
    from_end = np.flatnonzero((line != line[-1]).any(axis=1))
    last = int(from_end[-1]) + 1
    return _run(line[0], first) + _literal(line[first:last]) + _run(line[-1], width - last)


def _run(colour: NDArray[np.uint8], count: int) -> bytes:
    """``count`` pixels of one colour: count − 1, then the colour; 128 at most at once."""
    body = colour.tobytes()
    full, rest = divmod(count, _MOST_PIXELS)
    return (bytes([_MOST_PIXELS - 1]) + body) * full + (bytes([rest - 1]) + body if rest else b"")


def _literal(pixels: NDArray[np.uint8]) -> bytes:
    """Pixels as they are: 257 − count, then the pixels; a single one is a run of one."""
    parts: list[bytes] = []
    for start in range(0, len(pixels), _MOST_PIXELS):
        part = pixels[start : start + _MOST_PIXELS]
        parts.append(bytes([257 - len(part) if len(part) > 1 else 0]) + part.tobytes())
    return b"".join(parts)


def _header(pixels: NDArray[np.uint8], page: Page) -> bytes:
    """The page header, 1796 bytes, numbers big-endian (section 4.3); what is not named is zero."""
    height, width = pixels.shape[:2]
    points = [round(edge * 72 / 25.4) for edge in page.size_mm]
    header = bytearray(_HEADER_BYTES)

    def text(at: int, said: str) -> None:
        header[at : at + 63] = said.encode("ascii", "replace")[:63].ljust(63, b"\0")

    def number(at: int, *held: int) -> None:
        struct.pack_into(f">{len(held)}I", header, at, *held)

    text(0, "PwgRaster")
    text(128, page.media_type)
    text(192, "photo")
    number(276, page.ppi, page.ppi)
    number(340, page.copies)
    number(352, *points)
    number(372, width, height)
    number(384, 8, 24, 3 * width, 0, COLOUR_SPACES[page.space])
    number(420, 3)
    number(452, 1)  # pages in all
    number(456, 1, 1)  # neither axis is turned round
    number(464, 0, 0, width, height)
    number(480, 0xFFFFFF)
    number(484, page.quality)
    return bytes(header)
