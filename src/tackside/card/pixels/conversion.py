"""From a picture's numbers to those of the output file: how the person wants them, conversion, and sharpening.

Conversion is one ICC transform by LittleCMS, streamed by libvips. Sharpening makes up for ink that spreads in the
card: an unsharp mask, the picture plus a share of its difference from a Gaussian blur of itself. Its width is set in mm
on the print, so that it is the same whatever the grid and whatever the picture's resolution.
"""

from __future__ import annotations

import atexit
import hashlib
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal

import cv2
import numpy as np
import pyvips

from tackside.card.layout.placed import Rgb
from tackside.errors import BadProfile, BadRequest
from tackside.picture.file.open import Picture
from tackside.profile.device.device import Intent
from tackside.profile.icc.inspect import describe
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.convert import can_export, listed_as_relative, require_usable, with_profile
from tackside.profile.link.convert_picture import convert_image_rgb, opaque_rgb
from tackside.profile.link.lifted import is_curves_alone, lifted
from tackside.profile.link.profile_black import card_black_l, compensates, source_black_l
from tackside.records import Stock
from tackside.records.sheet_plan import Space
from tackside.units import mm_to_px

# Pictures in CMYK or CIELAB come by way of the wider working space, which holds nearly all of a print's colours.
WAYPOINT: SpaceName = "adobe-rgb"
# A blur narrower than this in pixels is hardly one: there is nothing to take a difference from.
NARROWEST_PX = 0.6
OutputSpace = Literal["srgb", "adobe-rgb", "picture"]
Surface = Literal["semi-gloss", "matt", "cotton"]


@dataclass(frozen=True)
class Output:
    """How a card's files are to be written: plain choices of the person who prints.

    ``space`` is the space of the numbers in the file: a working space, that of the card's pictures
    (``picture``), or None for the card's own. ``profile``, a printer's ICC profile, is converted to instead,
    by ``intent`` and with black point compensation where ``bpc``.

    ``surface`` chooses the sharpening, None the stock's own; ``sharpen`` False leaves it out. ``quality`` is
    that of a JPEG, 1 to 100; a PDF holds its pictures without loss unless ``jpeg_in_pdf``.
    """

    space: OutputSpace | None = None
    profile: bytes | None = None
    intent: Intent = "relative"
    bpc: bool = True
    sharpen: bool = True
    surface: Surface | None = None
    quality: int = 95
    jpeg_in_pdf: bool = False

    @property
    def pdf_quality(self) -> int | None:
        """That of the JPEGs in a PDF, None for pictures without loss."""
        return self.quality if self.jpeg_in_pdf else None


@dataclass(frozen=True)
class Sharpening:
    """``sigma_mm`` of the Gaussian on the print; ``amount`` is the share of the difference that is added."""

    sigma_mm: float
    amount: float


# Common practice, no source (docs/sources.md, S23): the radius in pixels is a two hundredth of the ppi (25.4 ÷ 200 =
# 0.127 mm), less on smooth surfaces and more, with a stronger hand, where ink spreads among fibres.
SHARPENING: dict[Surface, Sharpening] = {
    "semi-gloss": Sharpening(0.10, 0.5),
    "matt": Sharpening(0.127, 0.8),
    "cotton": Sharpening(0.15, 1.0),
}


@dataclass(frozen=True)
class OutputColour:
    """The profile that the file's numbers belong to, and how pictures and flat colours get there.

    ``own`` is the working space of the card's flat colours; ``intent`` and ``bpc`` hold for pictures.
    """

    profile: bytes
    own: Space
    intent: Intent
    bpc: bool

    def of_picture(self, image: pyvips.Image, source: bytes) -> pyvips.Image:
        """``image``, RGB or grey of 8 or 16 bits in the space of ``source``, as 8-bit RGB of the output."""
        done = image
        if source != self.profile:
            image, source = self._black_led(image, source)
            # libvips takes "absolute" between two files as the standard means it; the rest are by tables.
            done = with_profile(image, listed_as_relative(source, self.intent)).icc_transform(
                str(_on_disk(listed_as_relative(self.profile, self.intent))),
                embedded=True,
                intent="absolute" if self.intent == "absolute" else "relative",
                depth=8,
            )
        elif image.bands == 1:
            done = image.bandjoin([image, image])
        if done.format == "ushort":
            done = (done / 257).rint().cast("uchar")
        return done.copy(interpretation="srgb")

    def _black_led(self, image: pyvips.Image, source: bytes) -> tuple[pyvips.Image, bytes]:
        """The picture with a profile that leads its black to the output's, where that is wanted.

        A picture's profile with tables goes by way of the waypoint, which has none.
        """
        source_l = card_l = 0.0
        if compensates(source, self.intent, bpc=self.bpc):
            source_l = source_black_l(source, self.intent)
        if compensates(self.profile, self.intent, bpc=self.bpc):
            card_l = card_black_l(self.profile, self.intent)
        if source_l == card_l:
            return image, source
        if not is_curves_alone(source):
            image, source = convert_image_rgb(image, source, WAYPOINT), working_space_profile(WAYPOINT)
            source_l = 0.0
        return image, lifted(source, card_l, source_l)

    def of_rgb(self, rgb: Rgb) -> tuple[float, float, float]:
        """A flat colour of the card as the output's numbers, 0 to 1.

        Full white is bare card: paper needs no ink, whatever the intent.
        """
        source = working_space_profile(self.own)
        if source == self.profile or min(rgb) >= 1.0:
            return rgb
        # 8 bits in, as a picture of that colour has: the two then match on the print.
        pixel = np.rint(np.clip([[rgb]], 0, 1) * 255).astype(np.uint8)
        image = pyvips.Image.new_from_array(pixel).copy(interpretation="srgb")
        red, green, blue = (int(value) for value in self.of_picture(image, source)(0, 0))
        return red / 255, green / 255, blue / 255


def output_colour(output: Output, own: Space, pictures: Sequence[Picture]) -> OutputColour:
    """The colours of the file; ``own`` is the space of the card's flat colours. Raises BadProfile, BadRequest."""
    if output.profile is not None:
        if output.space is not None:
            raise BadRequest("card.space-and-profile")
        _refuse_unfit(output.profile)
        profile = output.profile
    elif output.space == "picture":
        profile = _shared_profile(pictures)
    else:
        profile = working_space_profile(output.space or own)
    return OutputColour(profile, own, output.intent, output.bpc)


def start_of(picture: Picture, image: pyvips.Image) -> tuple[pyvips.Image, bytes]:
    """The picture's pixels opaque, as RGB or grey of 8 or 16 bits, and the profile of these numbers."""
    if picture.profile is None:
        plain = opaque_rgb(image)
        if plain.bands == 1:  # as grey, libvips would convert its first channel alone
            kind = "rgb16" if plain.format == "ushort" else "srgb"
            plain = plain.bandjoin([plain, plain]).copy(interpretation=kind)
        return plain, working_space_profile("srgb")
    if image.interpretation in ("lab", "labs", "labq") or require_usable(picture.profile) == "CMYK":
        return convert_image_rgb(image, picture.profile, WAYPOINT), working_space_profile(WAYPOINT)
    return opaque_rgb(image), picture.profile


def sharpening_for(stock: Stock, output: Output) -> Sharpening | None:
    """What suits the surface; None where it is not wanted."""
    if not output.sharpen:
        return None
    return SHARPENING[output.surface or surface_of(stock)]


def surface_of(stock: Stock) -> Surface:
    """Which of the three surfaces a stock is nearest to, by its base and what its pack says."""
    said = f"{stock.base} {stock.surface}".casefold()
    if any(word in said for word in ("cotton", "rag", "etching", "texture", "watercolour")):
        return "cotton"
    if any(word in said for word in ("matt", "plain", "uncoated", "craft")):
        return "matt"
    return "semi-gloss"


def sharpened(image: pyvips.Image, ppi: float, how: Sharpening) -> pyvips.Image:
    """An image of 8 or 16 bits, ``ppi`` of its pixels an inch of print, with its edges raised.

    It is read into memory. Flat colour stays what it was, to the number. Raises pyvips.Error.
    """
    pixels = image.numpy()
    sigma = mm_to_px(how.sigma_mm, ppi)
    blurred = cv2.GaussianBlur(pixels, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)
    cv2.addWeighted(pixels, 1 + how.amount, blurred, -how.amount, 0, dst=blurred)
    return pyvips.Image.new_from_array(blurred).copy(interpretation=image.interpretation)


def is_wide_enough(ppi: float, how: Sharpening) -> bool:
    return mm_to_px(how.sigma_mm, ppi) >= NARROWEST_PX


def _refuse_unfit(profile: bytes) -> None:
    if require_usable(profile) != "RGB":
        raise BadProfile("card.profile-not-rgb", profile=describe(profile))
    if not can_export(profile):
        raise BadProfile("card.profile-one-way", profile=describe(profile))


def _shared_profile(pictures: Sequence[Picture]) -> bytes:
    """The one profile of all the card's pictures; sRGB where they have none."""
    found = list(dict.fromkeys(picture.profile or working_space_profile("srgb") for picture in pictures))
    if len(found) > 1:
        first, second = (describe(each) for each in found[:2])
        raise BadRequest("card.pictures-in-two-spaces", first=first, second=second)
    profile = found[0] if found else working_space_profile("srgb")
    if require_usable(profile) != "RGB":
        raise BadRequest("card.picture-not-rgb", profile=describe(profile))
    return profile


@lru_cache(maxsize=64)
def _on_disk(profile: bytes) -> Path:
    """The profile as a file, which libvips asks for; named by its content, as libvips remembers files by name."""
    path = _folder() / f"{hashlib.sha256(profile).hexdigest()}.icc"
    path.write_bytes(profile)
    return path


@lru_cache(maxsize=1)
def _folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="tackside-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder
