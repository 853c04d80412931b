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
    notices: tuple[str, ...]
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
        raise BadImage(
            f"{path.name} has {header.width} × {header.height} pixels, too many to be read",
            "scan at 300 or 600 ppi, and only the area of the sheet",
        )
    if min(header.width, header.height) < LEAST_SIDE_PX:
        raise BadImage(
            f"{path.name} has only {header.width} × {header.height} pixels",
            "scan at 150 ppi or more, 300 is better",
        )
    _refuse_other_than_rgb(header, path)
    origin = origin_of(path, header.get_fields())
    if origin.ycbcr:
        raise BadScan(
            f"{path.name} is a TIFF of luma and chroma (YCbCr), not of RGB",
            "save it again as an RGB TIFF or as PNG",
        )
    notices: list[str] = []
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
        raise BadImage(f"there is no file {path}", "check the name and the folder")
    if path.is_dir():
        raise BadImage(f"{path} is a folder", "name the scan itself")
    if not path.is_file():  # a pipe or a device, which may have no end
        raise BadImage(f"{path} is no ordinary file", "save it to the disk first")
    with path.open("rb") as stream:
        if not is_image(stream.read(16)):
            raise BadImage(f"{path.name} is no TIFF, PNG or JPEG", "scan again and save as TIFF, PNG or JPEG")
    try:
        return pyvips.Image.new_from_file(str(path), access="sequential")
    except pyvips.Error as error:
        raise BadImage(
            f"{path.name} cannot be opened as an image", "scan again and save as TIFF, PNG or JPEG"
        ) from error


def _refuse_other_than_rgb(header: pyvips.Image, path: Path) -> None:
    if header.interpretation == "cmyk":
        raise BadScan(f"{path.name} is a CMYK image", "scan again as RGB colour and save it unchanged")
    if header.bands < 3:
        raise BadScan(f"{path.name} is a grey scan", "scan again in colour (RGB, 24 or 48 bits)")
    if header.format not in ("uchar", "ushort") or header.interpretation not in ("srgb", "rgb", "rgb16"):
        raise BadScan(
            f"{path.name} does not hold RGB numbers of 8 or 16 bits",
            "scan again as RGB colour, 24 or 48 bits, and save it unchanged",
        )


def _profile(header: pyvips.Image, path: Path, notices: list[str]) -> bytes | None:
    profile = embedded_profile(header)
    if profile is None:
        notices.append("The scan has no colour profile: its numbers are taken for sRGB.")
        return None
    try:
        describe(profile)  # a damaged list of contents shows only when something is looked up in it
        if require_usable(profile) == "RGB":
            return profile
        reason = "is not for RGB"
    except BadProfile:
        reason = "is damaged"
    notices.append(f"The profile inside {path.name} {reason}: the scan's numbers are taken for sRGB.")
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
        raise BadImage(
            f"{path.name} is damaged or cut short", "copy it again from the scanner, or scan again"
        ) from error


def _sha256(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
