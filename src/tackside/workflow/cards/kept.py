"""Cards that the bench keeps: the design in one, the pictures it may use, and how it would come out."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from tackside.bench.store import Bench
from tackside.card.checks.live_check import LiveCheck, live_check
from tackside.card.file.design import WHOLE, CardParts, CardPicture, sample_words
from tackside.card.file.toml_text import card_toml
from tackside.card.layout.layout import Opener
from tackside.errors import BadImage, StorageTrouble
from tackside.fit.fold.panels import outside_of
from tackside.picture.file.open import Picture
from tackside.records import Stock
from tackside.records.card import CardImage, CardTypeface, KeptCard
from tackside.records.sheet_plan import Side
from tackside.workflow.cards.fonts import fonts_in_use
from tackside.workflow.cards.make import judged_faces
from tackside.workflow.placement import KnownPaths


def parts_of(kept: KeptCard) -> CardParts:
    """The design in a kept card. Raises StorageTrouble where it no longer holds together."""
    try:
        return CardParts.model_validate(tomllib.loads(kept.toml))
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise StorageTrouble("card.kept-is-broken", name=kept.name) from error


def words_left(kept: KeptCard) -> tuple[str, ...]:
    """The words of a kept card that still stand as a template has them."""
    return sample_words(parts_of(kept))


def outside_side(parts: CardParts, stock: Stock) -> Side:
    """The face of the stock that a card's outside lies on."""
    return parts.outside_on or outside_of(stock)


def kept_card(
    name: str, parts: CardParts, images: Sequence[CardImage], fonts: Sequence[CardTypeface] = ()
) -> KeptCard:
    """A design to be kept, with those of the pictures and fonts that it names."""
    named = {each.file for each in parts.pictures}
    set_in = {each.name for each in parts.fonts}
    return KeptCard(
        name=name, stock=parts.stock, printer=parts.printer, toml=card_toml(parts),
        images=tuple(each for each in images if each.name in named),
        fonts=tuple(each for each in fonts if each.name in set_in),
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


def files_of(kept: KeptCard) -> dict[str, str]:
    """The kept files that a card is made of, pictures and fonts: SHA-256 → name, each once."""
    return {each.sha256: each.name for each in kept.images} | {each.sha256: each.file for each in kept.fonts}


def parts_with_files(kept: KeptCard, places: Mapping[str, str]) -> CardParts:
    """The design with each file named as it lies in a folder: ``places`` are by SHA-256."""
    parts = parts_of(kept)
    images = {each.name: places[each.sha256] for each in kept.images}
    fonts = {each.file: places[each.sha256] for each in kept.fonts}
    return parts.model_copy(
        update={
            "pictures": tuple(each.model_copy(update={"file": images[each.file]}) for each in parts.pictures),
            "fonts": tuple(each.model_copy(update={"file": fonts[each.file]}) for each in parts.fonts),
        }
    )


def tried(
    bench: Bench,
    parts: CardParts,
    images: Sequence[CardImage],
    paths: KnownPaths,
    fonts: Sequence[CardTypeface] = (),
) -> LiveCheck:
    """The card laid out as far as it goes. Raises NotFound for a stock or printer that the bench does not hold."""
    stock, printer = bench.stocks.get(parts.stock), bench.printers.get(parts.printer)
    named = {each.name for each in parts.fonts}
    own = fonts_in_use(bench, [each for each in fonts if each.name in named])
    found = live_check(parts, stock, printer, opener_of(images), own, paths.of(stock, printer))
    judged = judged_faces(bench, stock.name, found.faces, found.outside_on)
    if not judged:
        return found
    return replace(found, remarks={**found.remarks, WHOLE: (*found.remarks.get(WHOLE, ()), *judged)})


def opener_of(images: Sequence[CardImage]) -> Opener:
    """Pictures by what was found out when they came: none is opened again to lay a card out."""
    by_name: Mapping[str, CardImage] = {each.name: each for each in images}

    def opened(asked: CardPicture) -> Picture:
        image = by_name.get(asked.file)
        if image is None:
            raise BadImage("card.picture-gone", file=asked.file)
        return Picture(Path(image.name), image.size_px, False, 8, None, image.warnings)

    return opened
