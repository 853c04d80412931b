"""Pictures handed to libvips: an opened file in place of a name, and none that takes too much memory to unpack.

libvips takes a name of its own kind: it reads options in brackets at its end, wants it in UTF-8, and opens whatever
lies there. What it decodes here is the plain file that was looked at.

How much memory a picture takes, its header tells, and not its file's size: a plain colour packs thousands to one. Most
pictures come out row by row. Of some, a row's parts lie all over the file: PNG by Adam7 (ISO/IEC 15948, clause 8.2) is
gathered whole, and of JPEG in several scans (ITU-T T.81, annexes F and G) all coefficients are. Of a TIFF in tiles a
row of tiles is held, of one whose channels lie apart a strip of each; WebP, AVIF and GIF are unpacked at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyvips

from tackside.errors import BadImage
from tackside.files.outside import PICTURE, Intake, shown
from tackside.files.tiff import rows_of_planes

# What a picture may take unpacked where it has to be held whole: with what is worked out from it, a command stays
# under 1 GB. 200 million pixels of 8 bits in three channels.
MOST_HELD_BYTES = 600_000_000
# Pictures are opened once for each use; libvips' cache of operations only kept a decoder, with all that it holds, for
# one that never came.
pyvips.cache_set_max(0)
# With what is worked out from it, a command then stays under 1 GB: one that held 600 MB took 1,009 MB.
MOST_AT_ONCE_BYTES = 540_000_000
# ICC profiles know up to 15 colours (ICC.1, signature FCLR), and a picture may keep some selections beside them. Each
# channel more is unpacked with the others before it is left out (this project's own limit).
MOST_CHANNELS = 64
BYTES_OF_FORMAT = {
    "uchar": 1, "char": 1, "ushort": 2, "short": 2, "uint": 4, "int": 4, "float": 4, "double": 8, "complex": 8,
    "dpcomplex": 16,
}  # fmt: skip
# Rows that are worked on at a time, and how often each is held: as read, as handed on, and what is found in it.
_ROWS, _TIMES_A_ROW = 256, 6.0
# The row of tiles that is asked for and the one before it, as libvips 8.18 keeps them.
_ROWS_OF_TILES = 2
# Bytes a pixel, of 8 bits a channel: the frames that their decoders keep, and libvips' own. Measured with libvips 8.18.
_AT_ONCE = {"webpload": 5.5, "heifload": 10.0, "gifload": 5.0}
# T.81, table B.1: frames, among which stand C4 (tables), C8 (kept for later) and CC (tables).
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset(range(0xD0, 0xD9)) | {0x01}  # markers that nothing belongs to
_COEFFICIENT_BYTES = 2


def image_in(path: Path, kind: Intake = PICTURE, **options: Any) -> pyvips.Image:
    """The image in a file, its header read; ``options`` are those of libvips' ``new_from_file``.

    Raises pyvips.Error for a damaged file, BadImage for one that takes too much memory to unpack, and what ``kind``
    raises.
    """
    image = pyvips.Image.new_from_source(_source(path, kind), "", **options)
    require_room(image, path)
    return image


def thumbnail_in(
    path: Path, width_px: int, kind: Intake = PICTURE, *, fail_on: str = "", **options: Any
) -> pyvips.Image:
    """``pyvips.Image.thumbnail`` of a file. Raises as ``image_in``."""
    image_in(path, kind, access="sequential")
    # Of an opened file libvips 8.18 does not hand ``fail_on`` on to its decoder, which then draws what is missing.
    to_decoder = f"[fail_on={fail_on}]" if fail_on else ""
    return pyvips.Image.thumbnail_source(_source(path, kind), width_px, option_string=to_decoder, **options)


def held_bytes(header: pyvips.Image) -> int:
    """How much an image takes unpacked."""
    return int(header.width * header.height * _pixel_bytes(header))


def decoder_bytes(header: pyvips.Image, path: Path) -> int:
    """How much its decoder holds of the picture in ``path``; 0 where that is a few rows."""
    loader = str(header.get("vips-loader"))
    if loader.startswith("jpegload"):
        return _coefficient_bytes(header, path) if _number(header, "jpeg-multiscan") else 0
    if loader.startswith("pngload"):
        return held_bytes(header) if _number(header, "interlaced") else 0
    if loader.startswith("tiffload"):
        return _tile_bytes(header) or _plane_bytes(header, path)
    pixel = next((each for name, each in _AT_ONCE.items() if loader.startswith(name)), 0.0)
    return int(header.width * header.height * pixel * BYTES_OF_FORMAT.get(header.format, 4))


def require_room(header: pyvips.Image, path: Path) -> None:
    """Raises BadImage for a picture that takes more than a command may have, however it is worked on."""
    rows = round(_TIMES_A_ROW * min(header.height, _ROWS) * header.width * _pixel_bytes(header))
    held = max(decoder_bytes(header, path), rows)
    if held > MOST_AT_ONCE_BYTES:
        raise BadImage(
            "picture.too-large-at-once",
            file=shown(path),
            width_px=header.width,
            height_px=header.height,
            channels=header.bands,
            megabytes=held / 1e6,
            limit_mb=MOST_AT_ONCE_BYTES // 1_000_000,
        )
    if header.bands > MOST_CHANNELS:
        raise BadImage(
            "picture.too-many-channels", file=shown(path), channels=header.bands, most=MOST_CHANNELS
        )


def _source(path: Path, kind: Intake) -> pyvips.Source:
    with kind.open(path) as stream:
        return pyvips.Source.new_from_descriptor(stream.fileno())  # which it duplicates


def _pixel_bytes(header: pyvips.Image) -> int:
    return int(header.bands * BYTES_OF_FORMAT.get(header.format, 4))


def _number(header: pyvips.Image, field: str) -> int:
    return int(header.get(field)) if header.get_typeof(field) else 0


def _tile_bytes(header: pyvips.Image) -> int:
    """Tiles at the edges are as large as the others (TIFF Revision 6.0, section 15)."""
    width, height = _number(header, "tile-width"), _number(header, "tile-height")
    if width <= 0 or height <= 0:
        return 0
    rows = min(_ROWS_OF_TILES, -(-header.height // height)) * height
    return int(-(-header.width // width) * width * rows * _pixel_bytes(header))


def _plane_bytes(header: pyvips.Image, path: Path) -> int:
    """Of channels that lie apart, a strip of each and the one that is being unpacked, as libvips 8.18 reads them."""
    rows = min(rows_of_planes(path), header.height)
    return int(header.width * rows * (_pixel_bytes(header) + BYTES_OF_FORMAT.get(header.format, 4)))


def _coefficient_bytes(header: pyvips.Image, path: Path) -> int:
    """T.81, clause A.1.1: a component has its share of the pixels, by its sampling factors over the largest."""
    factors = _sampling(path) or [(1, 1)] * max(header.bands, 3)
    across, down = (max(each) for each in zip(*factors, strict=True))
    shares = sum(x * y / (across * down) for x, y in factors)
    return int(header.width * header.height * shares * _COEFFICIENT_BYTES)


def _sampling(path: Path) -> list[tuple[int, int]]:
    """Sampling factors (across, down) of a JPEG's components (T.81, clause B.2.2); none where no frame is found."""
    with PICTURE.open(path) as stream:
        stream.seek(2)
        while len(marker := stream.read(2)) == 2:
            kind = marker[1]
            if marker[0] != 0xFF or kind == 0xFF or kind in _ALONE:
                stream.seek(-1, 1)  # fill bytes, or what decoders skip: on to the next marker
                continue
            length = int.from_bytes(stream.read(2), "big")
            if kind in _FRAMES:
                frame = stream.read(max(length - 2, 0))
                parts = frame[6 : 6 + 3 * (frame[5] if len(frame) > 5 else 0)]
                found = [(each >> 4, each & 15) for each in parts[1::3]]
                return found if all(x and y for x, y in found) else []
            stream.seek(max(length - 2, 0), 1)
    return []
