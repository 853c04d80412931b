"""A picture opened with suspicion: first bytes, then header, then upright, opaque, with a profile that is known or said
to be assumed.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

import pyvips

from tackside.errors import BadImage, BadProfile
from tackside.files.heic import MOST_PIXELS as MOST_HEIC_PIXELS
from tackside.files.heic import Heic, HeicDamaged
from tackside.files.image import MOST_AT_ONCE_BYTES, decoder_bytes, held_bytes, image_in
from tackside.files.outside import PICTURE, PICTURES, is_hevc
from tackside.files.tiff import holds_its_pixels, meant_channels, unmeant_channels
from tackside.messages.message import Message
from tackside.profile.icc.inspect import describe
from tackside.profile.icc.working_space import SpaceName
from tackside.profile.link.convert import embedded_profile, require_usable
from tackside.profile.link.convert_picture import convert_image_rgb, heic_profile, image_of

# libvips' own remarks on a file go to whoever sets up logging, not to the person's terminal.
logging.getLogger("pyvips").addHandler(logging.NullHandler())

# 500 megapixels is a sheet of A3 at 1800 ppi; beyond it a header is more likely a mistake or a trap than a
# picture.
MOST_PIXELS = 500_000_000
BITS_OF_FORMAT = {"uchar": 8, "ushort": 16}
QUARTER_TURNS = (5, 6, 7, 8)  # Exif 2.3, tag 0x0112: the values that swap width and height
SNIFFED_BYTES = 256


@dataclass(frozen=True)
class Picture:
    """A picture ready to be placed.

    No pixel is decoded yet. ``size_px`` is (width, height) upright, ``turned`` says whether EXIF asks for a
    turn; ``bits`` 8 or 16; ``profile`` the embedded ICC profile, None where sRGB is assumed. ``warnings`` are
    sentences without a full stop.
    """

    path: Path
    size_px: tuple[int, int]
    turned: bool
    bits: int
    profile: bytes | None
    warnings: tuple[Message, ...]

    @property
    def profile_name(self) -> Message | str:
        """The profile's own description, or that sRGB is assumed."""
        return Message("picture.srgb-assumed") if self.profile is None else describe(self.profile)

    def stream(self) -> pyvips.Image:
        """The picture upright, read from its file as pixels are asked for, once and from the top.

        An EXIF turn reads the file down its columns, so a turned picture is decoded into memory first.
        libvips' errors come when pixels are asked for.
        """
        if not self.turned:
            return meant_channels(_header(self.path, "picture"), self.path)
        try:
            whole = image_in(self.path, fail_on="truncated")
            return meant_channels(whole, self.path).autorot()
        except pyvips.Error as error:
            raise BadImage("picture.not-turned", file=str(self.path)) from error

    def in_space(self, image: pyvips.Image, space: SpaceName) -> pyvips.Image:
        """``image`` (this picture or a part of it) as opaque RGB of a working space."""
        return convert_image_rgb(image, self.profile, space)


def kind_of(path: Path) -> str:
    """``JPEG``, ``PNG``, ``TIFF``, ``WebP``, ``GIF``, ``AVIF`` or ``HEIF``, by the first bytes, before any decoder sees
    them. Raises BadImage for anything else.
    """
    head = _head(path)
    for at, sign, kind in PICTURES:
        if head[at : at + len(sign)] == sign:
            return kind
    raise BadImage("picture.unknown-kind", file=str(path))


def _head(path: Path) -> bytes:
    head = PICTURE.head(path, SNIFFED_BYTES)
    if not head:
        raise BadImage("picture.empty", file=str(path))
    return head


def open_picture(path: Path | str, *, most_pixels: int = MOST_PIXELS) -> Picture:
    """Open a JPEG, PNG, TIFF, WebP, AVIF or HEIC of one frame. Raises BadImage, with the file's name."""
    path = Path(path)
    kind = kind_of(path)
    if kind == "HEIF" and is_hevc(_head(path)):
        return _phone_picture(path, most_pixels)
    if kind == "TIFF" and not holds_its_pixels(path):
        raise BadImage("picture.pixels-missing", file=str(path))
    stored = _header(path, kind)
    _check(stored, path, most_pixels)
    warnings: list[Message] = []
    unmeant = unmeant_channels(stored, path)
    header = meant_channels(stored, path)
    if unmeant:
        warnings.append(Message("picture.channels-left-out", file=path.name, count=unmeant))
    profile = embedded_profile(header)
    if profile is None:
        if header.bands >= 4 and header.interpretation == "cmyk":
            raise BadImage("picture.cmyk-without-profile", file=path.name)
        warnings.append(Message("picture.taken-for-srgb", file=path.name))
    else:
        profile = _usable_or_none(profile, path, header.interpretation, warnings)
    if header.hasalpha():
        warnings.append(Message("picture.laid-on-white", file=path.name))
    turn = header.get("orientation") if header.get_typeof("orientation") else 1
    turned = turn not in (0, 1)
    if turned:
        _require_turnable(stored, path)
    size = (header.width, header.height)
    return Picture(
        path=path,
        size_px=size[::-1] if turn in QUARTER_TURNS else size,
        turned=turned,
        bits=BITS_OF_FORMAT.get(header.format, 16),
        profile=profile,
        warnings=tuple(warnings),
    )


def _phone_picture(path: Path, most_pixels: int) -> Picture:
    """A HEIC, of which the header alone is read. Raises BadImage."""
    try:
        opened = Heic(path)
    except HeicDamaged as error:
        raise BadImage("picture.damaged-kind", file=str(path), kind="HEIC") from error
    header = opened.header
    _check_pixels(*header.size_px, path, min(most_pixels, MOST_HEIC_PIXELS // (1 if header.bits <= 8 else 2)))
    if header.is_hdr:
        raise BadImage("picture.hdr", file=path.name)
    warnings: list[Message] = []
    profile = heic_profile(opened)
    if profile is None:
        warnings.append(Message("picture.taken-for-srgb", file=path.name))
    else:
        profile = _usable_or_none(profile, path, "rgb", warnings)
    return Picture(path, header.size_px, False, 8 if header.bits <= 8 else 16, profile, tuple(warnings))


def _header(path: Path, kind: str) -> pyvips.Image:
    """The picture's header, no pixel decoded. ``fail_on`` makes a truncated file an error, not grey."""
    try:
        return image_of(path, access="sequential", fail_on="truncated")
    except pyvips.Error as error:
        raise BadImage("picture.damaged-kind", file=str(path), kind=kind) from error


def _check(header: pyvips.Image, path: Path, most_pixels: int) -> None:
    _check_pixels(header.width, header.height, path, most_pixels)
    frames = header.get("n-pages") if header.get_typeof("n-pages") else 1
    if frames > 1:
        moves = "gif" in header.get("vips-loader")
        raise BadImage("picture.animation" if moves else "picture.several", file=str(path), count=frames)


def _check_pixels(width_px: int, height_px: int, path: Path, most_pixels: int) -> None:
    pixels = width_px * height_px
    if pixels > most_pixels:
        raise BadImage(
            "picture.too-many-pixels",
            file=str(path),
            width_px=width_px,
            height_px=height_px,
            million=pixels / 1e6,
            limit_million=most_pixels / 1e6,
        )


def _require_turnable(header: pyvips.Image, path: Path) -> None:
    """What is to be turned is held whole, beside what its decoder holds. Raises BadImage for more than may be."""
    held = held_bytes(header) + decoder_bytes(header, path)
    if held > MOST_AT_ONCE_BYTES:
        raise BadImage(
            "picture.too-large-to-turn",
            file=str(path),
            width_px=header.width,
            height_px=header.height,
            megabytes=held / 1e6,
            limit_mb=MOST_AT_ONCE_BYTES // 1_000_000,
        )


def _usable_or_none(profile: bytes, path: Path, interpretation: str, warnings: list[Message]) -> bytes | None:
    """The embedded profile, or None with a warning where it is damaged and sRGB is a sound guess."""
    try:
        require_usable(profile)
    except BadProfile as error:
        if interpretation == "cmyk":
            raise BadImage("picture.cmyk-profile", file=path.name, reason=error.message) from error
        warnings.append(Message("picture.profile-not-used", file=path.name, reason=error.message))
        return None
    return profile
