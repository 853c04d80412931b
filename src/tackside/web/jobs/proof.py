"""The job that readies a live proof: the picture as its own numbers, and every way to every card as a small table.

A table is made once for a card, a way and a space of numbers, and serves every picture of that space. All of it lies
in ``cache/`` and can be made again. Where a browser cannot draw the tables, it shows the same proofs as pictures.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.files import explain, write_atomically
from tackside.errors import BadImage
from tackside.picture import open_picture
from tackside.picture.advice import Variant
from tackside.picture.cards import CardReading
from tackside.picture.figures import differences, out_of_gamut
from tackside.picture.kinds import MEND
from tackside.picture.proof import READING_VARIANTS, rgb_stream
from tackside.profile.link import LabLink, Link, link_to_lab, screen_link, source_link
from tackside.web.jobs.files import lay_out, under_their_names
from tackside.web.jobs.task import Task

FORM = 1  # raised when the form of what lies in the cache changes
MOST_PIXELS = 16_000_000
LONGEST_PX = 8192  # a side of a texture that any WebGL 2 draws in practice
PLAIN_PX = 1400
PER_DE = 10.0  # differences are kept in tenths of ΔE00, up to 25.5


@dataclass(frozen=True)
class WayToCard:
    """One of the ways a table is made for: the card by its trial and name, and the variant."""

    trial: str
    name: str
    card: CardReading
    variant: Variant

    def key(self, profile: bytes) -> str:
        parts = (str(FORM), self.card.key, self.variant.intent, str(self.variant.bpc))
        return hashlib.sha256(" ".join(parts).encode() + profile).hexdigest()


def prepare(task: Task) -> dict[str, Any]:
    """Asked: ``sha256`` and ``name`` of a picture, ``cards`` (trial and name of each), the ``choice`` it belongs to
    and the ``card`` to begin with."""
    asked = task.asked
    laid = lay_out(task, [asked["sha256"]])
    with under_their_names(laid, [asked["name"]]):
        prepare_proof(task, laid[0])
    return {key: asked[key] for key in ("sha256", "choice", "number", "card")}


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
    return found if isinstance(found, dict) and found.get("form") == FORM else None


def prepare_proof(task: Task, path: Path) -> None:
    """Write the picture, the tables that are not there yet, and the plain pictures. Raises BadImage, BadProfile."""
    links = task.cache / "links"
    cards = task.asked["cards"]
    place = place_of(task.cache, task.asked["sha256"], [each["trial"] for each in cards])
    making = place.with_name(f".{place.name}.part")
    shutil.rmtree(making, ignore_errors=True)
    try:
        making.mkdir(parents=True)
        links.mkdir(exist_ok=True)
    except OSError as error:
        raise explain(error, making, "write") from error
    try:
        task.tell(0.05, "reading the picture")
        pixels, profile = _own_numbers(path)
        _write(making / "picture.jpg", pixels, 96)
        small = _reduced(pixels, PLAIN_PX)
        own = screen_link(source_link(profile))
        _write(making / "original.jpg", own.apply(small), 90)
        original = hashlib.sha256(f"{FORM} original".encode() + profile).hexdigest()
        write_atomically(links / f"{original}.bin", _halves(own))
        ways = list(_ways(task, cards))
        told = []
        for number, way in enumerate(ways):
            task.tell(0.1 + 0.85 * number / len(ways), way.name)
            told.append({"trial": way.trial, "key": way.key(profile), **_said(way.variant)})
            _plain_pictures(making, number, small, _tables(links, way, profile))
        size = [pixels.shape[1], pixels.shape[0]]
        about = {"form": FORM, "size": size, "original": original, "ways": told, "cards": cards}
        write_atomically(making / "proof.json", json.dumps(about).encode())
        shutil.rmtree(place, ignore_errors=True)
        making.rename(place)
    except pyvips.Error as error:
        raise BadImage(f"{path} breaks off or is damaged part of the way in", MEND) from error
    finally:
        shutil.rmtree(making, ignore_errors=True)


def _said(variant: Variant) -> dict[str, Any]:
    return {"intent": variant.intent, "bpc": variant.bpc}


def _ways(task: Task, cards: list[dict[str, str]]) -> Iterator[WayToCard]:
    for each in cards:
        readings = [reading for reading in task.bench.readings.list(each["trial"]) if reading.kind != "eye"]
        card = CardReading(each["name"], max(readings, key=lambda reading: reading.made_at))
        for variant in READING_VARIANTS:
            yield WayToCard(each["trial"], each["name"], card, variant)


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


def _tables(folder: Path, way: WayToCard, profile: bytes) -> tuple[Link, Link]:
    """The proof's links without and with the card's white; written for browsers where they are not there yet."""
    device = way.card.device
    printed = link_to_lab(profile, device, way.variant.intent, bpc=way.variant.bpc)
    plain, paper = screen_link(printed), screen_link(printed, device.white_lab)
    file = folder / f"{way.key(profile)}.bin"
    if not file.is_file():
        held = link_to_lab(profile, device, "relative", bpc=False)
        write_atomically(file, packed(plain, paper, source_link(profile), printed, held))
    return plain, paper


def packed(plain: Link, paper: Link, source: LabLink, printed: LabLink, held: LabLink) -> bytes:
    """What the browser reads: two tables of half floats (finest in the darks, where eyes are), then differences and
    reach beyond the card, a byte each.

    Red runs slowest in our tables and fastest in a texture of three dimensions, so the axes are turned about.
    """
    nodes = source.table.shape[0]
    was, becomes, reached = (each.table.reshape(nodes, nodes * nodes, 3) for each in (source, printed, held))
    sizes = np.stack([differences(was, becomes), out_of_gamut(was, reached)], axis=-1) * PER_DE
    sizes = sizes.reshape(nodes, nodes, nodes, 2)
    maps = np.rint(np.clip(sizes, 0, 255)).astype(np.uint8).transpose(2, 1, 0, 3)
    return _halves(plain) + _halves(paper) + np.ascontiguousarray(maps).tobytes()


def _halves(link: Link) -> bytes:
    return np.ascontiguousarray(link.table.transpose(2, 1, 0, 3), dtype="<f2").tobytes()


def _plain_pictures(folder: Path, number: int, small: NDArray[np.uint8], tables: tuple[Link, Link]) -> None:
    for name, link in zip(("plain", "paper"), tables, strict=True):
        _write(folder / f"way-{number}-{name}.jpg", link.apply(small), 90)
