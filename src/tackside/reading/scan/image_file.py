"""Opening a scan: header first, then one decoding into memory. All of libvips' errors are translated here.

The first bytes tell how the file came about: a camera's tags, JPEG's tables, TIFF's colour encoding.
"""

from __future__ import annotations

import hashlib
import io
import struct
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.errors import BadImage, BadProfile, BadScan
from tackside.files.image import BYTES_OF_FORMAT, MOST_HELD_BYTES, decoder_bytes, image_in
from tackside.files.outside import SCAN, as_text, is_heic, is_hevc
from tackside.files.tiff import meant_channels
from tackside.messages.message import Message
from tackside.profile.icc.inspect import describe
from tackside.profile.link.convert import embedded_profile, require_usable
from tackside.reading.scan.stated_resolution import is_stated
from tackside.units import MM_PER_INCH

Pixels = NDArray[np.uint8] | NDArray[np.uint16]

LEAST_SIDE_PX = 200
# libvips writes 1 pixel a millimetre (25.4 ppi) where a TIFF says nothing, and 72 ppi for a JPEG or PNG; scans below
# 50 ppi are no scans.
LEAST_STATED_PPI = 50.0
MOST_STATED_PPI = 20_000.0  # no scanner has more; what states it was not written by one
TAKEN_FOR_GRANTED_PPI = 72.0

# What TIFF (either byte order, plain or big), PNG and JPEG begin with; a HEIC is told by its brands. libvips opens far
# more kinds of file, some of which fetch further files; they are not asked to.
_STARTS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")

_SCAN = replace(SCAN, folder="scan.folder")
HEAD_BYTES = 1 << 18
SNIFFED_BYTES = 256
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

# Who made the file, by TIFF 6.0 and Exif (CIPA DC-008); numbers by which a program may have changed the colours.
_MAKE, _MODEL, _SOFTWARE, _EXIF = 271, 272, 305, 34665
_SETTINGS = {
    0x9204: "ExposureBiasValue", 0xA401: "CustomRendered", 0xA402: "ExposureMode", 0xA403: "WhiteBalance",
    0xA407: "GainControl", 0xA408: "Contrast", 0xA409: "Saturation", 0xA40A: "Sharpness", 0xA500: "Gamma",
}  # fmt: skip
_MOST_TAG_BYTES = 200


@dataclass(frozen=True)
class Origin:
    """``jpeg_quality``: 1 to 100, None for other files. ``camera``: whether a camera's lens is named in the tags.

    ``ycbcr``: a TIFF whose numbers are luma and chroma, not RGB, and not packed as JPEG. ``make``, ``model``,
    ``software`` and ``settings`` (name, value) as the tags say; None or empty where they say nothing.
    """

    jpeg_quality: int | None = None
    camera: bool = False
    ycbcr: bool = False
    make: str | None = None
    model: str | None = None
    software: str | None = None
    settings: tuple[tuple[str, float], ...] = ()


UNKNOWN = Origin()


@dataclass(frozen=True, eq=False)
class ScanImage:
    """A decoded scan. ``pixels`` (h, w, 3) RGB, uint8 or uint16; ``stated_ppi`` None where the file says nothing.

    ``profile`` holds the bytes of the embedded RGB profile, None where there is none that can be used.
    """

    name: str
    sha256: str
    pixels: Pixels
    stated_ppi: float | None
    profile: bytes | None
    notices: tuple[Message, ...]
    origin: Origin = UNKNOWN

    @property
    def bits(self) -> int:
        return 8 * self.pixels.itemsize

    @property
    def profile_name(self) -> str | None:
        return None if self.profile is None else describe(self.profile)


def is_image(head: bytes) -> bool:
    """Whether a file that begins with ``head`` is a TIFF, PNG or JPEG, or a HEIC as phones write it."""
    return head.startswith(_STARTS) or is_hevc(head)


def scan_sha256(path: Path) -> str:
    """The SHA-256 of a scan's file, in hexadecimal. Raises BadImage."""
    with _SCAN.open(path) as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def open_scan(path: Path, hashing: Callable[[Path], str] = scan_sha256) -> ScanImage:
    """Open and decode a scan. Raises BadImage for what is no image or too large, BadScan for grey or CMYK.

    ``hashing`` gives the SHA-256 of a file that is to be read, for who copies it by the same pass; it runs in a thread
    of its own.
    """
    _require_image(path)
    if is_heic(path):
        return _open_heic(path, hashing)
    header = _header(path)
    bits = 8 * BYTES_OF_FORMAT.get(header.format, 1)
    _check_size(header.width, header.height, path, bits, decoder_bytes(header, path))
    _refuse_other_than_rgb(header, path)
    origin = origin_of(path, header.get_fields())
    if origin.ycbcr:
        raise BadScan("scan.ycbcr", file=path.name)
    exif = bytes(header.get("exif-data")) if "exif-data" in header.get_fields() else None
    origin = _with_maker(origin, exif, path)
    notices: list[Message] = []
    profile = _profile(header, path, notices)
    with ThreadPoolExecutor(1) as beside:  # hashing and decoding both leave Python free for each other
        hashed = beside.submit(hashing, path)
        pixels = _decode(path)
        sha256 = hashed.result()
    return ScanImage(
        name=as_text(path.name),
        sha256=sha256,
        pixels=pixels,
        stated_ppi=stated_ppi(header, path),
        profile=profile,
        notices=tuple(notices),
        origin=origin,
    )


def _open_heic(path: Path, hashing: Callable[[Path], str]) -> ScanImage:
    """A phone's photograph: no flatbed writes this kind of file. Raises as ``open_scan``."""
    from tackside.files.heic import Heic, HeicDamaged  # for these alone
    from tackside.profile.link.convert_picture import heic_image

    try:
        opened = Heic(path)
        _check_size(*opened.header.size_px, path, 8 if opened.header.bits <= 8 else 16)
        if opened.header.is_hdr:
            raise BadScan("scan.hdr", file=path.name)
        image = heic_image(opened)
    except HeicDamaged as error:
        raise BadImage("scan.damaged", file=path.name) from error
    _refuse_other_than_rgb(image, path)
    notices: list[Message] = []
    return ScanImage(
        name=as_text(path.name),
        sha256=hashing(path),
        pixels=np.ascontiguousarray(np.asarray(image.numpy())[..., :3]),
        stated_ppi=None,
        profile=_profile(image, path, notices),
        notices=tuple(notices),
        origin=_with_maker(Origin(camera=True), opened.header.exif, path),
    )


def require_size(width: int, height: int, name: str, bits: int = 8, decoder: int = 0) -> None:
    """Raises BadImage where so many pixels of ``bits`` a channel take more memory than a command may, with so many
    bytes that their decoder holds besides."""
    most = most_pixels(bits, decoder / max(width * height, 1))
    if width * height > most:
        raise BadImage(
            "scan.too-many-pixels", file=name, width=width, height=height, bits=bits, most_million=most / 1e6
        )


def most_pixels(bits: int, decoder: float = 0.0) -> int:
    """How many pixels of three channels are read: all of them are held, and ``decoder`` bytes of each besides."""
    return int(MOST_HELD_BYTES // (3 * bits // 8 + decoder))


def _check_size(width: int, height: int, path: Path, bits: int, decoder: int = 0) -> None:
    require_size(width, height, path.name, bits, decoder)
    if min(width, height) < LEAST_SIDE_PX:
        raise BadImage("scan.too-few-pixels", file=path.name, width=width, height=height)


def _require_image(path: Path) -> None:
    if not is_image(_SCAN.head(path, SNIFFED_BYTES)):
        raise BadImage("scan.no-image", file=path.name)


def _header(path: Path) -> pyvips.Image:
    try:
        return image_in(path, _SCAN, access="sequential")
    except pyvips.Error as error:
        raise BadImage("scan.cannot-be-opened", file=path.name) from error


def _refuse_other_than_rgb(header: pyvips.Image, path: Path) -> None:
    if header.interpretation == "cmyk":
        raise BadScan("scan.cmyk", file=path.name)
    if header.bands < 3:
        raise BadScan("scan.grey", file=path.name)
    if header.format not in ("uchar", "ushort") or header.interpretation not in ("srgb", "rgb", "rgb16"):
        raise BadScan("scan.not-rgb", file=path.name)


def _profile(header: pyvips.Image, path: Path, notices: list[Message]) -> bytes | None:
    profile = embedded_profile(header)
    if profile is None:
        notices.append(Message("scan.no-profile"))
        return None
    try:
        describe(profile)  # a damaged list of contents shows only when something is looked up in it
        if require_usable(profile) == "RGB":
            return profile
        code = "scan.profile-not-rgb"
    except BadProfile:
        code = "scan.profile-damaged"
    notices.append(Message(code, file=path.name))
    return None


def stated_ppi(header: pyvips.Image, path: Path) -> float | None:
    """Pixels an inch, the same across and along; None where the file says none, or what no scan can have."""
    across, along = (float(each) * MM_PER_INCH for each in (header.xres, header.yres))
    if not LEAST_STATED_PPI <= across <= MOST_STATED_PPI or abs(across - along) > 0.01 * across:
        return None
    if abs(across - TAKEN_FOR_GRANTED_PPI) < 0.1:
        with _SCAN.open(path) as stream:
            return across if is_stated(header, stream.read(HEAD_BYTES)) else None
    return across


def _decode(path: Path) -> Pixels:
    """Decode once, strictly: a truncated file is refused, not filled up with grey."""
    try:
        image = image_in(path, _SCAN, access="sequential", fail_on="truncated")
        image = meant_channels(image, path)
        if image.hasalpha():
            top = 65535 if image.format == "ushort" else 255
            image = image.flatten(background=[top], max_alpha=top)
        return np.asarray(image.numpy())
    except pyvips.Error as error:
        raise BadImage("scan.damaged", file=path.name) from error


def origin_of(path: Path, fields: list[str]) -> Origin:
    """What the first bytes of a file and libvips' list of its ``fields`` tell."""
    with _SCAN.open(path) as stream:
        head = stream.read(HEAD_BYTES)
        ycbcr = head[:2] in (b"II", b"MM") and _is_ycbcr(head, stream)
    camera = any(field.startswith("exif-ifd") and field.endswith(LENS_TAGS) for field in fields)
    return Origin(jpeg_quality(head), camera, ycbcr)


def _with_maker(origin: Origin, exif: bytes | None, path: Path) -> Origin:
    """The origin with what the tags of a TIFF, or the Exif block of another file, say of scanner and program."""
    with _SCAN.open(path) as file:
        stream: BinaryIO = file
        if file.read(2) not in (b"II", b"MM"):
            if exif is None:
                return origin
            stream = io.BytesIO(exif.removeprefix(b"Exif\0\0"))
        tags = _tags(stream)
    words = {tag: value for tag, value in tags.items() if isinstance(value, str)}
    settings = tuple(
        (name, value) for tag, name in _SETTINGS.items() if isinstance(value := tags.get(tag), float)
    )
    return replace(
        origin,
        make=words.get(_MAKE),
        model=words.get(_MODEL),
        software=words.get(_SOFTWARE),
        settings=settings,
    )


def _tags(stream: BinaryIO) -> dict[int, str | float]:
    """Words and single numbers in the first directory of a TIFF (plain, not big) and in its Exif directory.

    A tag that leads outside the file is left out.
    """
    found: dict[int, str | float] = {}
    stream.seek(0)
    head = stream.read(8)
    order = "<" if head[:2] == b"II" else ">"
    try:
        magic, start = struct.unpack(order + "HI", head[2:8])
        if magic != 42:
            return found
        found = _directory(stream, order, start)
        exif = found.get(_EXIF)
        if isinstance(exif, float):
            found = {**_directory(stream, order, int(exif)), **found}
    except (struct.error, OverflowError, OSError, ValueError):
        pass
    return found


def _directory(stream: BinaryIO, order: str, start: int) -> dict[int, str | float]:
    found: dict[int, str | float] = {}
    stream.seek(start)
    count = min(struct.unpack(order + "H", stream.read(2))[0], 512)
    entries = stream.read(12 * count)
    for at in range(0, len(entries) - 11, 12):
        tag, kind, number = struct.unpack_from(order + "HHI", entries, at)
        inside = entries[at + 8 : at + 12]
        if kind == 2 and 0 < number <= _MOST_TAG_BYTES:
            if number > 4:
                stream.seek(struct.unpack(order + "I", inside)[0])
                inside = stream.read(number)
            word = inside[:number].split(b"\0")[0].decode("utf-8", "replace").replace("|", "/")
            if word := " ".join(word.split()):
                found[tag] = word
        elif number == 1 and kind in (3, 4, 13):
            found[tag] = float(struct.unpack_from(order + ("H" if kind == 3 else "I"), inside)[0])
        elif number == 1 and kind in (5, 10):
            stream.seek(struct.unpack(order + "I", inside)[0])
            over, under = struct.unpack(order + ("II" if kind == 5 else "ii"), stream.read(8))
            if under:
                found[tag] = over / under
    return found


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
