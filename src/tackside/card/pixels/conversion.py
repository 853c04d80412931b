"""From a picture's numbers to those of the output file: one ICC transform by LittleCMS, streamed by libvips."""

from __future__ import annotations

import atexit
import hashlib
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvips

from tackside.card.layout.placed import Rgb
from tackside.card.output import Output
from tackside.errors import BadProfile, BadRequest
from tackside.picture.file.open import Picture
from tackside.profile.device.device import Intent
from tackside.profile.icc.inspect import describe
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.convert import (
    can_export,
    convert_image_rgb,
    opaque_rgb,
    require_usable,
    with_profile,
)
from tackside.profile.link.passage import completed
from tackside.records.sheet_plan import Space

# Pictures in CMYK or CIELAB come by way of the wider working space, which holds nearly all of a print's colours.
WAYPOINT: SpaceName = "adobe-rgb"


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
            # libvips takes "absolute" between two files as the standard means it; the rest are by tables.
            done = with_profile(image, completed(source, self.intent)).icc_transform(
                str(_on_disk(completed(self.profile, self.intent))),
                embedded=True,
                intent=self.intent,
                black_point_compensation=self.bpc and self.intent != "absolute",
                depth=8,
            )
        elif image.bands == 1:
            done = image.bandjoin([image, image])
        if done.format == "ushort":
            done = (done / 257).rint().cast("uchar")
        return done.copy(interpretation="srgb")

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
        return (plain.bandjoin([plain, plain]) if plain.bands == 1 else plain), working_space_profile("srgb")
    if image.interpretation in ("lab", "labs", "labq") or require_usable(picture.profile) == "CMYK":
        return convert_image_rgb(image, picture.profile, WAYPOINT), working_space_profile(WAYPOINT)
    return opaque_rgb(image), picture.profile


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
