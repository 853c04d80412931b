"""A picture worked on and written: a small one whole, a larger one in strips of rows, so that memory stays flat.

For strips libvips asks for the result as it writes. It is handed an uncompressed TIFF that never exists as a whole:
a head that says where each strip lies (TIFF Revision 6.0, sections 2 and 3), then the strips, each made when asked for.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.errors import BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path
from tackside.profile.link.convert import with_profile

Strip = NDArray[np.uint8] | NDArray[np.uint16]
STRIP_BYTES = 2 * 1024 * 1024
SMALL_BYTES = 96 * 1024 * 1024  # of a picture that may stand in memory twice: 33 megapixels of 8 bits
HEAD_BYTES = (
    1 << 16
)  # libvips looks at the first few KB for the format, before strips may be asked for in order
SAVE_OPTIONS: dict[str, dict[str, object]] = {
    ".tif": {"compression": "deflate", "predictor": "horizontal"},
    ".tiff": {"compression": "deflate", "predictor": "horizontal"},
    ".png": {"compression": 4},
    ".jpg": {"Q": 94, "subsample_mode": "off"},
    ".jpeg": {"Q": 94, "subsample_mode": "off"},
}


class _StripRows:
    """An RGB image of 8 or 16 bits, read from the top, a strip at a time, in one thread of its own.

    A region of libvips belongs to one thread, and keeps what a sequential decoder has read beyond a strip; to
    ask for parts of the image one by one would throw that away, and not get it again.
    """

    def __init__(self, image: pyvips.Image) -> None:
        self.width, self.height = int(image.width), int(image.height)
        self.dtype = np.dtype(np.uint8 if image.format == "uchar" else np.uint16)
        self.rows = max(1, min(self.height, STRIP_BYTES // (self.width * 3)))
        self._image = image
        self._region: pyvips.Region | None = None

    def strip(self, number: int) -> Strip:
        """The strip's pixels (rows, w, 3)."""
        if self._region is None:
            self._region = pyvips.Region.new(self._image)
        top = number * self.rows
        height = min(self.rows, self.height - top)
        data = self._region.fetch(0, top, self.width, height)
        pixels: Strip = np.frombuffer(data, self.dtype).reshape(height, self.width, 3)
        return pixels


def check_name(path: Path) -> None:
    """Raises BadRequest where the file's ending is none that is written."""
    if path.suffix.lower() not in SAVE_OPTIONS:
        raise BadRequest("picture.no-written-format", file=path.name)


def write_picture(
    path: Path, image: pyvips.Image | Strip, work: Callable[[Strip], Strip], profile: bytes
) -> None:
    """Write ``work`` of an RGB image, of parts of it, to ``path`` with ``profile`` embedded, whole or not at all.

    ``image`` has 3 bands of uchar or ushort, or is its decoded pixels (h, w, 3); ``work`` keeps shape and type, and may
    write over what it is given. A JPEG takes 8 bits of 16. The errors of ``image`` and of ``work`` come through as they
    are. Raises BadRequest, StorageTrouble.
    """
    check_name(path)
    with ThreadPoolExecutor(1) as thread, atomic_path(path) as temporary:
        if isinstance(image, pyvips.Image) and not is_small(image):
            source, whole = _StripSource(_StripRows(image), work, thread), None
        else:
            pixels = image.numpy() if isinstance(image, pyvips.Image) else image
            source, whole = None, pyvips.Image.new_from_array(work(pixels))
        try:
            result = with_profile(whole if source is None else source.image(), profile)
            if path.suffix.lower().startswith(".jp") and result.format == "ushort":
                result = (result >> 8).cast("uchar").copy(interpretation="srgb")
            result.write_to_file(str(temporary), **SAVE_OPTIONS[path.suffix.lower()])
        except pyvips.Error as error:
            if source is None or source.failure is None:
                raise StorageTrouble("picture.not-written", file=str(path)) from error
        if (
            source is not None and source.failure is not None
        ):  # libvips may have gone on and filled up with black
            raise source.failure


def is_small(image: pyvips.Image) -> bool:
    """Whether an RGB image may stand in memory as a whole."""
    sample_bytes = 1 if image.format == "uchar" else 2
    return int(image.width) * int(image.height) * 3 * sample_bytes <= SMALL_BYTES


class _StripSource:
    """The TIFF that is made as libvips reads it."""

    def __init__(self, rows: _StripRows, work: Callable[[Strip], Strip], thread: ThreadPoolExecutor) -> None:
        self.failure: Exception | None = None
        self._rows, self._work, self._thread = rows, work, thread
        row_bytes = rows.width * 3 * rows.dtype.itemsize
        self._strip_bytes = rows.rows * row_bytes
        self._head = _tiff_head(rows.width, rows.height, rows.rows, 8 * rows.dtype.itemsize)
        self._size = len(self._head) + rows.height * row_bytes
        self._at, self._number, self._made = 0, -1, b""
        self._source = pyvips.SourceCustom()
        self._source.on_read(self._read)
        self._source.on_seek(self._seek)

    def image(self) -> pyvips.Image:
        return pyvips.Image.new_from_source(self._source, "", access="sequential", fail_on="truncated")

    def _seek(self, offset: int, whence: int) -> int:
        self._at = offset + {0: 0, 1: self._at, 2: self._size}[whence]
        return self._at

    def _read(self, length: int) -> bytes:
        """Exactly ``length`` bytes, across strips, but for the end: libtiff takes a short read for a fault."""
        parts = []
        while length > 0 and self._at < self._size:
            if self._at < len(self._head):
                part = self._head[self._at : self._at + length]
            else:
                number, start = divmod(self._at - len(self._head), self._strip_bytes)
                part = self._strip_data(number)[start : start + length]
            if not part:
                break
            parts.append(part)
            self._at += len(part)
            length -= len(part)
        return b"".join(parts)

    def _strip_data(self, number: int) -> bytes:
        if number != self._number:
            try:
                self._made = self._thread.submit(self._make, number).result()
            except Exception as error:  # noqa: BLE001  libvips would swallow it; it is raised again after
                self.failure, self._made = self.failure or error, b""
            self._number = number
        return self._made

    def _make(self, number: int) -> bytes:
        return self._work(self._rows.strip(number)).tobytes()


def _tiff_head(width: int, height: int, rows: int, bits: int) -> bytes:
    """Header, directory and the places of all strips, which follow at once. Little-endian, RGB, chunky."""
    count = -(-height // rows)
    depths_at = 8 + 2 + 12 * 10 + 4
    places_at = depths_at + 8
    lengths_at = places_at + 4 * count
    start = max(lengths_at + 4 * count, HEAD_BYTES)
    row_bytes = width * 3 * bits // 8
    places = [start + number * rows * row_bytes for number in range(count)]
    lengths = [min(rows, height - number * rows) * row_bytes for number in range(count)]
    # A single place or length stands in the entry itself.
    place, length = (places_at, lengths_at) if count > 1 else (places[0], lengths[0])
    fields = [
        (256, 4, 1, width),
        (257, 4, 1, height),
        (258, 3, 3, depths_at),  # bits of each sample
        (259, 3, 1, 1),  # not compressed
        (262, 3, 1, 2),  # RGB
        (273, 4, count, place),
        (277, 3, 1, 3),  # samples a pixel
        (278, 4, 1, rows),
        (279, 4, count, length),
        (284, 3, 1, 1),  # chunky
    ]
    head = b"".join(
        [
            struct.pack("<2sHI", b"II", 42, 8),
            struct.pack("<H", len(fields)),
            *(struct.pack("<HHII", *field) for field in fields),
            struct.pack("<I4H", 0, bits, bits, bits, 0),
            struct.pack(f"<{count}I", *places),
            struct.pack(f"<{count}I", *lengths),
        ]
    )
    return head.ljust(start, b"\0")
