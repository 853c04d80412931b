"""A card that is being worked on: laid out as far as it goes, and each remark told of the part that it concerns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tackside.card.checks.remarks import remarks
from tackside.card.file.design import CardParts
from tackside.card.layout.layout import CardFace, Opener, every_face
from tackside.card.layout.texts import PlacedText
from tackside.card.make import UNKNOWN_PATH, PrintPath, fits_for
from tackside.card.type.fonts import FontShelf
from tackside.errors import TacksideError
from tackside.records import Printer, Stock

# A part is called by its kind and its number in the card file, counted from 0; what concerns no single one is CARD's.
CARD, CREDIT = "card", "credit"


@dataclass(frozen=True)
class Tried:
    """``faces`` hold the parts that could be laid out, the outside first; ``faults`` say why each other one could not.

    ``remarks`` are sentences by part. ``feeds`` is whether the printer takes the sheet at all.
    """

    card: CardParts
    faces: tuple[CardFace, CardFace]
    faults: dict[str, TacksideError]
    remarks: dict[str, tuple[str, ...]]
    feeds: bool


def try_out(
    card: CardParts,
    stock: Stock,
    printer: Printer,
    opened: Opener,
    shelf: FontShelf | None = None,
    path: PrintPath = UNKNOWN_PATH,
) -> Tried:
    """Lay a card out although some of its parts may not stand. Raises BadRecord where not even its panels do."""
    fits = fits_for(stock, printer, path)
    shelf = shelf or FontShelf()

    def laid(parts: CardParts) -> tuple[CardFace, CardFace]:
        return every_face(parts, stock, fits, shelf, opened)

    faults: dict[str, TacksideError] = {}
    sound = card
    try:
        faces = laid(card)
    except TacksideError:
        bare = card.model_copy(update={"pictures": (), "texts": (), "credit": None})
        laid(bare)  # what is wrong with the card as a whole is told as such
        for part, alone in _alone(card, bare):
            try:
                laid(alone)
            except TacksideError as error:
                faults[part] = error
        sound = _without(card, faults)
        faces = laid(sound)
    used = [face.fit for face in faces if face.side == "front" or not face.is_empty]
    found: dict[str, list[str]] = {CARD: [warning for fit in used for warning in fit.warnings]}
    for face in faces:
        for part, sentence in _concerning(face, card, printer.grid_ppi, path.residual_mm(face.side)):
            found.setdefault(part, []).append(sentence)
    told = {part: tuple(dict.fromkeys(sentences)) for part, sentences in found.items() if sentences}
    return Tried(sound, faces, faults, told, fits["front"].feed is not None)


def _alone(card: CardParts, bare: CardParts) -> Iterator[tuple[str, CardParts]]:
    for number, picture in enumerate(card.pictures):
        yield f"picture-{number}", bare.model_copy(update={"pictures": (picture,)})
    for number, text in enumerate(card.texts):
        yield f"text-{number}", bare.model_copy(update={"texts": (text,)})
    if card.credit is not None:
        yield CREDIT, bare.model_copy(update={"credit": card.credit})


def _without(card: CardParts, faults: dict[str, TacksideError]) -> CardParts:
    return card.model_copy(
        update={
            "pictures": tuple(each for n, each in enumerate(card.pictures) if f"picture-{n}" not in faults),
            "texts": tuple(each for n, each in enumerate(card.texts) if f"text-{n}" not in faults),
            "credit": None if CREDIT in faults else card.credit,
        }
    )


def _concerning(
    face: CardFace, card: CardParts, grid_ppi: float, residual_mm: float | None
) -> Iterator[tuple[str, str]]:
    """Each remark with its part: the one without which it would not be made; a text before what lies under it."""
    said = remarks(face, grid_ppi, residual_mm)
    if not said:
        return
    lacking: list[tuple[str, tuple[str, ...]]] = []
    for text in face.texts:
        rest = replace(face, texts=tuple(each for each in face.texts if each is not text))
        lacking.append((_part_of(text, card), remarks(rest, grid_ppi, residual_mm)))
    if face.codes:
        lacking.append((CREDIT, remarks(replace(face, codes=()), grid_ppi, residual_mm)))
    for placed in face.pictures:
        rest = replace(face, pictures=tuple(each for each in face.pictures if each is not placed))
        number = next(n for n, each in enumerate(card.pictures) if each is placed.asked)
        lacking.append((f"picture-{number}", remarks(rest, grid_ppi, residual_mm)))
    for sentence in said:
        yield next((part for part, left in lacking if sentence not in left), CARD), sentence


def _part_of(text: PlacedText, card: CardParts) -> str:
    return next((f"text-{n}" for n, each in enumerate(card.texts) if each is text.asked), CREDIT)
