"""A live proof made ready: the picture as its own numbers, and every way to every card as a small table.

A table is made once for a card, a way and a space of numbers, and serves every picture of that space. All of it lies
in ``cache/`` and can be made again. Where a browser cannot draw the tables, it shows the same proofs as pictures.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.errors import BadImage, BadRequest, TacksideError
from tackside.files.atomic import explain, write_atomically
from tackside.messages.message import Message
from tackside.picture.file.open import open_picture
from tackside.picture.proof.proof import rgb_stream
from tackside.profile.link.link import LabLink, link_to_lab, screen_link, source_link
from tackside.tasks.cache import note_use
from tackside.workflow.prepared import proof_tables
from tackside.workflow.prepared.proof_maps import ReducedPicture, lost_at, paint_maps, seen_of
from tackside.workflow.prepared.proof_ways import FORM, STEM, WayToCard, said, source_of, ways_to
from tackside.workflow.progress import Progress, unheard

MOST_PIXELS = 16_000_000
LONGEST_PX = 8192  # a side of a texture that any WebGL 2 draws in practice
PLAIN_PX = 1400
LINKS = "links"  # beside the proofs, in the cache


def place_of(cache: Path, sha256: str, trials: list[str]) -> Path:
    """The folder of a picture's proofs on these cards; from a hash and ids of the bench, never from a path."""
    cards = hashlib.sha256(" ".join(trials).encode()).hexdigest()[:16]
    return cache / "proofs" / f"{sha256}-{cards}"


def read_proof(place: Path) -> dict[str, Any] | None:
    """What lies there, None where nothing is ready."""
    try:
        found = json.loads((place / "proof.json").read_bytes())
    except (OSError, ValueError):
        return None
    if not isinstance(found, dict) or found.get("form") != FORM:
        return None
    links = [place.parent.parent / LINKS / f"{key}.bin" for key in _keys(found)]
    if not all(each.is_file() for each in links):  # put out of the cache, being long unused
        return None
    for each in (place, *links):
        note_use(each)
    return found


def _keys(found: dict[str, Any]) -> set[str]:
    return {found["original"], *(each["key"] for each in found["ways"])}


def prepare_proof(
    bench: Bench, path: Path, place: Path, cards: Sequence[dict[str, str]], progress: Progress = unheard
) -> None:
    """Write the picture, the tables that are not there yet, and the plain pictures, into ``place`` (see ``place_of``).

    ``cards`` are told each by ``card`` (its trial, or ``profile-`` and a hash) and ``name``. Raises BadImage,
    BadProfile, BadRequest where no card can be worked out, StorageTrouble.
    """
    making = place.with_name(f".{place.name}.part")
    shutil.rmtree(making, ignore_errors=True)
    try:
        making.mkdir(parents=True)
        links = place.parent.parent / LINKS
        links.mkdir(exist_ok=True)
    except OSError as error:
        raise explain(error, making, "write") from error
    try:
        about = _Preparing.of(bench, path, making, links, progress).all(cards)
        write_atomically(making / "proof.json", json.dumps(about).encode())
        shutil.rmtree(place, ignore_errors=True)
        making.rename(place)
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(path)) from error
    finally:
        shutil.rmtree(making, ignore_errors=True)


@dataclass(frozen=True)
class _Preparing:
    """One picture at work: its numbers whole and ``small``, their profile, and where its files go."""

    bench: Bench
    progress: Progress
    making: Path
    links: Path
    pixels: NDArray[np.uint8]
    profile: bytes
    small: NDArray[np.uint8]
    seen: ReducedPicture

    @classmethod
    def of(cls, bench: Bench, path: Path, making: Path, links: Path, progress: Progress) -> _Preparing:
        progress(0.05, Message("progress.reading-picture"))
        pixels, profile = _own_numbers(path)
        seen = seen_of(pixels, source_link(profile))
        return cls(bench, progress, making, links, pixels, profile, _reduced(pixels, PLAIN_PX), seen)

    def all(self, asked: Sequence[dict[str, str]]) -> dict[str, Any]:
        """Everything written; what the page is told of it."""
        _write(self.making / "picture.jpg", self.pixels, 96)
        own = screen_link(source_link(self.profile))
        _write(self.making / "original.jpg", own.apply(self.small), 90)
        original = hashlib.sha256(f"{FORM} original".encode() + self.profile).hexdigest()
        write_atomically(self.links / f"{original}.bin", proof_tables.light(own))
        ways, cards, left = self._ways(asked)
        for number, way in enumerate(ways):
            self.progress(
                0.1 + 0.85 * number / len(ways), Message("progress.drawing-way", way=way.source.name)
            )
            self._way(way)
        height, width = self.pixels.shape[:2]
        return {
            "form": FORM, "size": [width, height], "original": original,
            "left_out": [{**each, "why": each["why"].as_data()} for each in left],
            "ways": [said(way, self.profile) for way in ways], "cards": cards,
        }  # fmt: skip

    def _ways(
        self, asked: Sequence[dict[str, str]]
    ) -> tuple[list[WayToCard], list[dict[str, str]], list[dict[str, Any]]]:
        """The ways to the cards that can be worked out, these cards, and the others with the reason."""
        ways: list[WayToCard] = []
        cards: list[dict[str, str]] = []
        left: list[dict[str, Any]] = []
        for each in asked:
            try:
                found = list(ways_to(each["card"], source_of(self.bench, each)))
            except TacksideError as error:
                left.append({**each, "why": error.message})
                continue
            ways += found
            cards.append(each)
        if not ways:
            raise BadRequest("proof.no-way", reason=left[0]["why"])
        return ways, cards, left

    def _way(self, way: WayToCard) -> None:
        """One way's table, where it is not there yet, and what is shown of it without one."""
        device, stem = way.source.device, way.key(self.profile)[:STEM]
        printed = link_to_lab(self.profile, device, way.variant.intent, bpc=way.variant.bpc)
        held = link_to_lab(self.profile, device, "relative", bpc=False)
        plain, paper = screen_link(printed), screen_link(printed, device.white_lab)
        found = proof_tables.size_link(source_link(self.profile), printed, held)
        file = self.links / f"{way.key(self.profile)}.bin"
        if not file.is_file():
            write_atomically(
                file, proof_tables.light(plain) + proof_tables.light(paper) + proof_tables.sizes(found)
            )
        for name, link in (("plain", plain), ("paper", paper)):
            _write(self.making / f"way-{stem}-{name}.jpg", link.apply(self.small), 90)
        self._maps(stem, found, printed)

    def _maps(self, way: str, found: LabLink, printed: LabLink) -> None:
        lost = lost_at(self.seen, printed)
        # What the shader reads: shares of 255 to the pixel, so nothing that JPEG would smear.
        _write_png(self.making / f"way-{way}-lost.png", np.rint(np.clip(lost, 0, 1) * 255).astype(np.uint8))
        for name, pixels in paint_maps(self.seen, found, lost).items():
            _write(self.making / f"way-{way}-{name}.jpg", pixels, 88)


def _own_numbers(path: Path) -> tuple[NDArray[np.uint8], bytes]:
    """The picture's own RGB (h, w, 3) of 8 bits, upright, no larger than a browser draws with ease; its profile."""
    image, profile = rgb_stream(open_picture(path))
    if image.format == "ushort":
        image = (image / 257).rint().cast("uchar")
    longest = max(image.width, image.height)
    share = min(1.0, LONGEST_PX / longest, (MOST_PIXELS / (image.width * image.height)) ** 0.5)
    if share < 1:
        image = image.resize(share)
    return np.ascontiguousarray(image.numpy()), profile


def _reduced(pixels: NDArray[np.uint8], longest: int) -> NDArray[np.uint8]:
    image = pyvips.Image.new_from_array(pixels)
    small = image.thumbnail_image(longest, height=longest, size="down")
    return np.ascontiguousarray(small.numpy()[:, :, :3])


def _write(path: Path, pixels: NDArray[Any], quality: int) -> None:
    image = pyvips.Image.new_from_array(np.ascontiguousarray(pixels))
    image.jpegsave(str(path), Q=quality, subsample_mode="off", keep="none")


def _write_png(path: Path, pixels: NDArray[np.uint8]) -> None:
    pyvips.Image.new_from_array(np.ascontiguousarray(pixels)).pngsave(str(path), keep="none")
