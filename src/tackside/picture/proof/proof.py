"""The picture as a card will show it: on screen, in maps and in figures, for each way to the card."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path

import numpy as np
import pyvips

from tackside.colour.difference import picture_delta_e_2000
from tackside.errors import BadImage
from tackside.picture.file.open import Picture
from tackside.picture.file.strips import is_small, write_picture
from tackside.picture.proof.advice import IntentVariant, Weighed, weigh
from tackside.picture.proof.figures import Lab32, Single, compare, local_contrast, out_of_gamut
from tackside.picture.proof.maps import Maps
from tackside.profile.device.device import INTENTS, Device
from tackside.profile.device.device_model import DeviceModel
from tackside.profile.device.kept_model import KeptModel
from tackside.profile.icc.inspect import device_colour_space
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert_picture import opaque_rgb
from tackside.profile.link.link import LabLink, Pixels, device_link, link_to_lab, source_link

MOST_SAMPLED = 250_000  # pixels that figures and maps are taken from
VARIANTS = tuple(
    IntentVariant(intent, bpc)
    for intent in INTENTS
    for bpc in ((True, False) if intent != "absolute" else (False,))
)
# A card's own reading has one compression for both perceptual and saturation, and it sees to black by itself.
READING_VARIANTS = tuple(
    each
    for each in VARIANTS
    if each.intent in ("relative", "absolute") or each == IntentVariant("perceptual", True)
)


def variants_of(device: Device) -> tuple[IntentVariant, ...]:
    """The ways to a card that differ."""
    return READING_VARIANTS if isinstance(device, (DeviceModel, KeptModel)) else VARIANTS


@dataclass(eq=False)
class Whole:
    """A picture's RGB numbers at full size (h, w, 3), given away once: who takes them may write over them."""

    _pixels: Pixels | None = None

    def take(self) -> Pixels | None:
        """None where none were kept, or somebody has taken them."""
        pixels, self._pixels = self._pixels, None
        return pixels


@dataclass(frozen=True, eq=False)
class Sample:
    """A picture reduced: its own RGB numbers (h, w, 3), uint8 or uint16, and the profile they are for.

    ``whole``: those at full size, where they were to be kept and are few.
    """

    pixels: Pixels
    profile: bytes
    whole: Whole = field(default_factory=Whole)

    @cached_property
    def lab(self) -> Lab32:
        """The picture's own media-relative CIELAB (h, w, 3)."""
        return source_link(self.profile).apply(self.pixels)

    @cached_property
    def _links(self) -> dict[tuple[Device, IntentVariant], LabLink]:
        return {}

    def link(self, device: Device, variant: IntentVariant) -> LabLink:
        """From the picture's numbers to the print's media-relative CIELAB; figures, maps and proofs share it."""
        known = (device, variant)
        if known not in self._links:
            self._links[known] = link_to_lab(self.profile, device, variant.intent, bpc=variant.bpc)
        return self._links[known]

    def printed(self, device: Device, variant: IntentVariant) -> Lab32:
        """The print's media-relative CIELAB (h, w, 3)."""
        return self.link(device, variant).apply(self.pixels)


@dataclass(frozen=True, eq=False)
class Gamut:
    """By how much (ΔE00) each pixel (h, w) of a sample lies outside the card; 0 inside."""

    outside: Single

    @property
    def share(self) -> float:
        """The share of pixels outside, 0 to 1."""
        return float(np.mean(self.outside > 0))

    @property
    def mean(self) -> float:
        """The mean ΔE00 of those outside, 0 where there are none."""
        out = self.outside[self.outside > 0]
        return float(out.mean(dtype=np.float64)) if out.size else 0.0


def rgb_stream(picture: Picture) -> tuple[pyvips.Image, bytes]:
    """The picture's own RGB, opaque, of 8 or 16 bits, read from the top as pixels are asked for; its profile.

    Grey, CMYK and Lab pictures are taken to Adobe RGB (1998) first, those without a profile are taken for sRGB.
    Raises BadImage, BadProfile.
    """
    image = picture.stream()
    if picture.profile is None:
        return picture.in_space(image, "srgb"), working_space_profile("srgb")
    if device_colour_space(picture.profile) == "RGB" and image.interpretation in ("srgb", "rgb", "rgb16"):
        rgb = opaque_rgb(image)
        if rgb.bands == 3:
            return rgb, picture.profile
    return picture.in_space(image, "adobe-rgb"), working_space_profile("adobe-rgb")


def sample_of(picture: Picture, most_pixels: int = MOST_SAMPLED, *, keep_whole: bool = False) -> Sample:
    """The picture reduced by whole blocks of pixels to at most ``most_pixels``; ``keep_whole`` for who writes it after,
    and so decodes a small one once. Raises BadImage, BadProfile."""
    image, profile = rgb_stream(picture)
    whole = Whole()
    factor = 1
    while (image.width // factor) * (image.height // factor) > most_pixels:
        factor += 1
    across, down = min(factor, image.width), min(factor, image.height)
    try:
        if keep_whole and is_small(image):
            pixels = image.numpy()
            whole, image = Whole(pixels), pyvips.Image.new_from_array(pixels)
        reduced = image.shrink(across, down) if factor > 1 else image
        return Sample(np.ascontiguousarray(reduced.numpy()), profile, whole)
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(picture.path)) from error


def gamut_of(sample: Sample, device: Device) -> Gamut:
    """What part of the sample the card cannot hold."""
    return Gamut(out_of_gamut(sample.lab, sample.printed(device, IntentVariant("relative", False))))


def weigh_variants(
    sample: Sample, device: Device, variants: tuple[IntentVariant, ...] | None = None
) -> tuple[Weighed, ...]:
    """Every way to the card with its figures, cheapest first; by default those of ``variants_of``."""
    chosen = variants_of(device) if variants is None else variants
    return weigh([(variant, compare(sample.lab, sample.printed(device, variant))) for variant in chosen])


def write_proof(
    picture: Picture,
    device: Device,
    variant: IntentVariant,
    path: Path,
    *,
    paper: bool = False,
    sample: Sample | None = None,
) -> None:
    """Write the proof at the picture's full size, for a screen in sRGB, in one pass; from its ``sample`` where that
    kept the whole, which it then gives away.

    Raises BadImage, BadProfile, BadRequest, StorageTrouble.
    """
    kept = None if sample is None else sample.whole.take()
    image, profile = rgb_stream(picture) if sample is None or kept is None else (kept, sample.profile)
    link = device_link(profile, device, variant.intent, bpc=variant.bpc, paper=paper)
    try:
        write_picture(path, image, partial(link.apply, over=True), working_space_profile(link.screen))
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(picture.path)) from error


def maps_of(sample: Sample, device: Device, variant: IntentVariant) -> Maps:
    """Where the card falls short of the sample by one way."""
    printed = sample.printed(device, variant)
    lost = lost_contrast(sample.lab, printed)
    return Maps(gamut_of(sample, device).outside, picture_delta_e_2000(sample.lab, printed), lost)


def lost_contrast(lab: Lab32, printed: Lab32) -> Single:
    """The share, 0 to 1, of each pixel's local contrast that a print takes away; both pictures (h, w, 3) CIELAB."""
    had, has = local_contrast(lab), local_contrast(printed)
    # Steps below half a unit are not seen, and their shares would be noise.
    return np.asarray(np.maximum(had - has, 0) / np.maximum(had, 0.5))
