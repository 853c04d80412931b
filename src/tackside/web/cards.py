"""Cards of the workbench: a kept card's design, its pictures, what is known of its way into the printer."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from pydantic import ValidationError

from tackside.bench.store import Bench
from tackside.card.checks.live_check import Tried, try_out
from tackside.card.file.design import CardParts, CardPicture
from tackside.card.file.toml_text import card_toml
from tackside.card.known_path import is_half_turned, placements_of
from tackside.card.layout.layout import Opener
from tackside.card.make import PrintPath
from tackside.errors import BadImage, StorageTrouble
from tackside.fit.placement.measured import MeasuredPlacement
from tackside.picture.file.open import Picture
from tackside.records import Printer, Stock
from tackside.records.card import CardImage, KeptCard
from tackside.records.sheet_plan import Side

# A card is laid out with each change, and thousands of trials take a tenth of a second: so it is remembered.
MOST_PLACEMENTS = 64
_placements: dict[tuple[Path, Stock, Printer, int], dict[Side, MeasuredPlacement]] = {}


def parts_of(kept: KeptCard) -> CardParts:
    """The design in a kept card. Raises StorageTrouble where it no longer holds together."""
    try:
        return CardParts.model_validate(tomllib.loads(kept.toml))
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise StorageTrouble(
            f"the bench holds a card {kept.name!r} that does not hold together",
            "bring an earlier revision of it back",
        ) from error


def kept_card(name: str, parts: CardParts, images: Sequence[CardImage]) -> KeptCard:
    """A design to be kept, with those of the pictures that it names."""
    named = {each.file for each in parts.pictures}
    return KeptCard(
        name=name, stock=parts.stock, printer=parts.printer, toml=card_toml(parts),
        images=tuple(each for each in images if each.name in named),
    )  # fmt: skip


def images_of(bench: Bench, kept: KeptCard) -> tuple[CardImage, ...]:
    """The pictures that a card may use: those it has, and those that were dropped on it, each by a name of its own."""
    found = {each.sha256: each for each in kept.images}
    for job in reversed(bench.jobs.list(subject=kept.name, kind="card-picture", count=60)):
        if job.state == "done" and job.result is not None:
            image = CardImage.model_validate(job.result["image"])
            found.setdefault(image.sha256, image)
    taken: set[str] = set()
    named = []
    for image in found.values():
        name, number = image.name, 2
        while name.casefold() in taken:
            stem, dot, suffix = image.name.rpartition(".")
            name = f"{stem}-{number}.{suffix}" if dot else f"{image.name}-{number}"
            number += 1
        taken.add(name.casefold())
        named.append(image.model_copy(update={"name": name}))
    return tuple(named)


def opener_of(images: Sequence[CardImage]) -> Opener:
    """Pictures by what was found out when they came: none is opened again to lay a card out."""
    by_name: Mapping[str, CardImage] = {each.name: each for each in images}

    def opened(asked: CardPicture) -> Picture:
        image = by_name.get(asked.file)
        if image is None:
            raise BadImage(f"there is no picture {asked.file}", "drop it on the card again")
        return Picture(Path(image.name), image.size_px, False, 8, None, image.warnings)

    return opened


def tried(bench: Bench, parts: CardParts, images: Sequence[CardImage]) -> Tried:
    """The card laid out as far as it goes. Raises NotFound for a stock or printer that the bench does not hold."""
    stock, printer = bench.stocks.get(parts.stock), bench.printers.get(parts.printer)
    return try_out(parts, stock, printer, opener_of(images), path=path_of(bench, stock, printer))


def path_of(bench: Bench, stock: Stock, printer: Printer) -> PrintPath:
    """Where earlier trials of this card fell; they are measured again only when there is a new reading."""
    key = (bench.folder, stock, printer, bench.measured.last_placement(stock.name, printer.name))
    if key not in _placements:
        if len(_placements) >= MOST_PLACEMENTS:
            _placements.pop(next(iter(_placements)), None)
        _placements[key] = placements_of(bench, stock, printer)
    return PrintPath(_placements[key], half_turned=is_half_turned(bench, stock, printer))
