"""Proof a picture on a card: every way between them weighed, the print drawn, and what is lost shown on maps."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pyvips

from tackside.files.atomic import atomic_path, explain
from tackside.messages.message import Message
from tackside.picture.file.open import Picture, open_picture
from tackside.picture.proof.advice import IntentAdvice, IntentVariant, Weighed, advise
from tackside.picture.proof.maps import NAMES, painted
from tackside.picture.proof.proof import (
    Gamut,
    Sample,
    gamut_of,
    maps_of,
    sample_of,
    variants_of,
    weigh_variants,
)
from tackside.picture.proof.proof import write_proof as write_picture
from tackside.profile.device.device import Device, Intent
from tackside.workflow.pictures.proof_card import ProofCard


@dataclass(frozen=True, eq=False)
class Proofed:
    """A picture, a card, the figures of every way between them, the advice and the way that is taken."""

    picture: Picture
    card: ProofCard
    sample: Sample
    gamut: Gamut
    weighed: tuple[Weighed, ...]
    advice: IntentAdvice
    taken: Weighed

    @property
    def device(self) -> Device:
        return self.card.device

    @property
    def warnings(self) -> tuple[Message, ...]:
        """What must be known before the proof is trusted: of the picture, then of the card."""
        return (*self.picture.warnings, *self.card.notices)


def proof(
    file: Path, card: ProofCard, intent: Intent | None = None, *, bpc: bool = True, compared: bool = False
) -> Proofed:
    """Weigh every way to print a picture on a card, and take the advised one; or the way of one ``intent``, which alone
    is then weighed, or ``compared`` with all others. Raises BadImage."""
    device, picture = card.device, open_picture(file)
    sample = sample_of(picture, keep_whole=True)
    asked = None if intent is None else _way_of(device, intent, bpc=bpc)
    weighed = weigh_variants(sample, device, None if asked is None or compared else (asked,))
    allowed = weighed if bpc else tuple(each for each in weighed if not each.variant.bpc)
    advice = advise(allowed or weighed)
    taken = next(each for each in weighed if each.variant == (asked or advice.variant))
    return Proofed(picture, card, sample, gamut_of(sample, device), weighed, advice, taken)


def _way_of(device: Device, intent: Intent, *, bpc: bool) -> IntentVariant:
    """The way to a card that an intent means there."""
    ways = variants_of(device)
    asked = IntentVariant(intent, bpc and intent != "absolute")
    # A card's own reading has one compression for perceptual and saturation, whatever the black.
    return asked if asked in ways else next(each for each in ways if each.intent == "perceptual")


def write_proof(found: Proofed, out: Path, *, paper: bool = False) -> None:
    """The print as an sRGB picture of the same size; ``paper`` shows the card's own white and black.

    Raises BadRequest for a name that is no kind of picture, BadImage, StorageTrouble.
    """
    way = found.taken.variant
    write_picture(found.picture, found.device, way, out, paper=paper, sample=found.sample)


def map_files(picture: Path, folder: Path) -> dict[str, Path]:
    """The file of each map of a picture's proof, by the map's name."""
    return {name: folder / f"{picture.stem}-{name}.png" for name in NAMES}


def write_maps(found: Proofed, folder: Path) -> list[Path]:
    """The three maps of a proof as PNG in a folder, by the picture's name. Raises StorageTrouble."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, folder, "write") from error
    written, files = [], map_files(found.picture.path, folder)
    maps = maps_of(found.sample, found.device, found.taken.variant)
    for name, pixels in painted(found.sample.lab, maps).items():
        path = files[name]
        image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb")
        with atomic_path(path) as temporary:
            temporary.write_bytes(image.pngsave_buffer())
        written.append(path)
    return written
