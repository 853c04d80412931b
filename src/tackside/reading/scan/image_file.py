"""Opening a scan: header first, then one decoding into memory. All of libvips' errors are translated here."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.errors import BadImage, BadProfile, BadScan
from tackside.messages.message import Message
from tackside.profile.icc.inspect import describe
from tackside.profile.link.convert import embedded_profile, require_usable
from tackside.reading.scan.origin import UNKNOWN, Origin, origin_of
from tackside.units import MM_PER_INCH

Pixels = NDArray[np.uint8] | NDArray[np.uint16]

# 600 megapixels hold an A3 sheet at 1500 ppi, or a whole A4 bed at 2400 ppi: more than any scan needs.
MOST_PIXELS = 600_000_000
LEAST_SIDE_PX = 200
# libvips writes 1 pixel a millimetre (25.4 ppi) where a file says nothing; scans below 50 ppi are no scans.
LEAST_STATED_PPI = 50.0

# What TIFF (either byte order, plain or big), PNG and JPEG begin with. libvips opens far more kinds of file, some of
# which fetch further files; they are not asked to.
_STARTS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")

pyvips.cache_set_max(0)  # scans are opened once; caching them only holds memory


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
    """Whether a file that begins with ``head`` is a TIFF, PNG or JPEG."""
    return head.startswith(_STARTS)


def open_scan(path: Path) -> ScanImage:
    """Open and decode a scan. Raises BadImage for what is no image or too large, BadScan for grey or CMYK."""
    header = _header(path)
    if header.width * header.height > MOST_PIXELS:
        raise BadImage("scan.too-many-pixels", file=path.name, width=header.width, height=header.height)
    if min(header.width, header.height) < LEAST_SIDE_PX:
        raise BadImage("scan.too-few-pixels", file=path.name, width=header.width, height=header.height)
    _refuse_other_than_rgb(header, path)
    origin = origin_of(path, header.get_fields())
    if origin.ycbcr:
        raise BadScan("scan.ycbcr", file=path.name)
    notices: list[Message] = []
    profile = _profile(header, path, notices)
    with ThreadPoolExecutor(1) as beside:  # hashing and decoding both leave Python free for each other
        hashed = beside.submit(_sha256, path)
        pixels = _decode(path)
        sha256 = hashed.result()
    return ScanImage(
        name=path.name,
        sha256=sha256,
        pixels=pixels,
        stated_ppi=_stated_ppi(header),
        profile=profile,
        notices=tuple(notices),
        origin=origin,
    )


def _header(path: Path) -> pyvips.Image:
    if not path.exists():
        raise BadImage("reading.file-missing", file=str(path))
    if path.is_dir():
        raise BadImage("scan.folder", file=str(path))
    if not path.is_file():  # a pipe or a device, which may have no end
        raise BadImage("reading.no-ordinary-file", file=str(path))
    with path.open("rb") as stream:
        if not is_image(stream.read(16)):
            raise BadImage("scan.no-image", file=path.name)
    try:
        return pyvips.Image.new_from_file(str(path), access="sequential")
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


def _stated_ppi(header: pyvips.Image) -> float | None:
    across, along = (float(each) * MM_PER_INCH for each in (header.xres, header.yres))
    if across < LEAST_STATED_PPI or abs(across - along) > 0.01 * across:
        return None
    return across


def _decode(path: Path) -> Pixels:
    """Decode once, strictly: a truncated file is refused, not filled up with grey."""
    try:
        image = pyvips.Image.new_from_file(str(path), access="sequential", fail_on="truncated")
        if image.hasalpha():
            top = 65535 if image.format == "ushort" else 255
            image = image.flatten(background=[top], max_alpha=top)
        if image.bands > 3:
            image = image.extract_band(0, n=3)
        return np.asarray(image.numpy())
    except pyvips.Error as error:
        raise BadImage("scan.damaged", file=path.name) from error


def _sha256(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
