"""What a TIFF file's own table tells and no decoder does: whether it holds the pixels that it promises, what its
channels beyond the colours are, and whether they lie apart.

libtiff fills what is missing from an uncompressed file without a word, so the promise is checked beforehand. Further
channels may mean no colour and no transparency: saved selections, plates of a spot colour. libvips hands all of them
on, and takes the last for transparency; ``meant_channels`` leaves the colours, and one of transparency where there is
one.

Source: TIFF Revision 6.0, sections 2 (structure), 3 (strips), 15 (tiles), 18 (ExtraSamples); BigTIFF: 64-bit
offsets, as in libtiff.
"""

from __future__ import annotations

import struct
from collections.abc import Container, Sequence
from pathlib import Path
from typing import BinaryIO

import pyvips

from tackside.files.outside import PICTURE

STRIP_OFFSETS, STRIP_BYTES, TILE_OFFSETS, TILE_BYTES = 273, 279, 324, 325
PLACES = (STRIP_OFFSETS, STRIP_BYTES, TILE_OFFSETS, TILE_BYTES)
EXTRA_SAMPLES = 338
ROWS_PER_STRIP, PLANAR_CONFIGURATION, PLANAR = 278, 284, 2
# Field types that hold places and lengths: SHORT, LONG, LONG8.
FORMATS = {3: "H", 4: "I", 16: "Q"}
MOST_ENTRIES = 4096
MOST_STRIPS = 4_000_000


def holds_its_pixels(path: Path) -> bool:
    """Whether all strips or tiles of the first picture lie inside the file; False too where its table is cut
    off.
    """
    size = PICTURE.require(path).st_size
    try:
        fields = _fields(path, PLACES)
    except (struct.error, ValueError):
        return False
    offsets = fields.get(STRIP_OFFSETS) or fields.get(TILE_OFFSETS) or ()
    lengths = fields.get(STRIP_BYTES) or fields.get(TILE_BYTES) or ()
    return bool(offsets) and all(
        start + length <= size for start, length in zip(offsets, lengths, strict=False)
    )


def extra_channels(path: Path) -> tuple[int, ...]:
    """What each channel beyond the colours is, as ExtraSamples numbers them: 1 or 2 transparency, with the colours
    multiplied by it or not; 0 anything else, a saved selection for one. Empty where the table says nothing.
    """
    try:
        return tuple(_fields(path, (EXTRA_SAMPLES,)).get(EXTRA_SAMPLES, ()))
    except (struct.error, ValueError):
        return ()


def rows_of_planes(path: Path) -> int:
    """How many rows a strip has where each channel lies by itself (PlanarConfiguration 2); 0 where they lie together.

    A table that does not say has one strip (TIFF 6.0, section 8), told here as 2**32 - 1.
    """
    try:
        fields = _fields(path, (ROWS_PER_STRIP, PLANAR_CONFIGURATION))
    except (struct.error, ValueError):
        return 0
    if (*fields.get(PLANAR_CONFIGURATION, ()), 1)[0] != PLANAR:
        return 0
    return (*fields.get(ROWS_PER_STRIP, ()), 2**32 - 1)[0]


def _fields(path: Path, wanted: Container[int]) -> dict[int, Sequence[int]]:
    """Those fields of the first directory. Raises ValueError and struct.error where the table is damaged."""
    with PICTURE.open(path) as stream:
        return _read_fields(stream, wanted)


def _read_fields(stream: BinaryIO, wanted: Container[int]) -> dict[int, Sequence[int]]:
    order = "<" if stream.read(2) == b"II" else ">"
    big = _read(stream, order + "H")[0] == 43
    if big:
        stream.seek(8)
    _go_to(stream, _read(stream, order + ("Q" if big else "I"))[0])
    (count,) = _read(stream, order + ("Q" if big else "H"))
    if count > MOST_ENTRIES:
        raise ValueError(f"{count} entries in a directory")
    entry = struct.Struct(order + ("HHQ8s" if big else "HHI4s"))
    entries = [entry.unpack(stream.read(entry.size)) for _ in range(count)]
    return {tag: _values(stream, order, kind, n, value) for tag, kind, n, value in entries if tag in wanted}


def _values(stream: BinaryIO, order: str, kind: int, count: int, value: bytes) -> Sequence[int]:
    """The values of a field, which stand in the entry itself where they fit."""
    if kind not in FORMATS or count > MOST_STRIPS:
        raise ValueError(f"{count} values of the kind {kind}")
    form = f"{order}{count}{FORMATS[kind]}"
    if struct.calcsize(form) <= len(value):
        return struct.unpack_from(form, value)
    (place,) = struct.unpack(order + ("Q" if len(value) == 8 else "I"), value)
    _go_to(stream, place)
    return _read(stream, form)


def _go_to(stream: BinaryIO, place: int) -> None:
    """Raises ValueError for a place that no file of this disk can have: each file system has its own largest file, and
    64 bits name larger ones."""
    try:
        stream.seek(place)
    except OSError as error:  # EINVAL
        raise ValueError(f"a place at {place}") from error


def _read(stream: BinaryIO, form: str) -> tuple[int, ...]:
    return struct.unpack(form, stream.read(struct.calcsize(form)))


# How many of libvips' bands are colours, by its name for what they mean.
COLOURS = {"b-w": 1, "grey16": 1, "cmyk": 4}
TRANSPARENCY = (1, 2)  # TIFF 6.0, section 18: ExtraSamples


def unmeant_channels(image: pyvips.Image, path: Path) -> int:
    """How many channels of the picture in ``path`` are neither a colour nor its transparency."""
    return int(image.bands) - len(_meant(image, path))


def meant_channels(image: pyvips.Image, path: Path) -> pyvips.Image:
    """``image``, decoded from ``path``, with its colours and at most one channel of transparency after them."""
    meant = _meant(image, path)
    if len(meant) == image.bands:
        return image
    colours = image.extract_band(0, n=_colours(image))
    kept = [image.extract_band(each) for each in meant[colours.bands :]]
    return (colours.bandjoin(kept) if kept else colours).copy(interpretation=image.interpretation)


def _colours(image: pyvips.Image) -> int:
    return min(int(image.bands), COLOURS.get(image.interpretation, 3))


def _meant(image: pyvips.Image, path: Path) -> list[int]:
    """The bands that mean a colour, in order, then the one of transparency where there is one."""
    colours = _colours(image)
    beyond = range(colours, image.bands)
    if image.get("vips-loader").startswith("tiff") and (kinds := extra_channels(path)):
        told = [band for band, kind in zip(beyond, kinds, strict=False) if kind in TRANSPARENCY]
    else:
        told = list(beyond)
    return [*range(colours), *told[:1]]
