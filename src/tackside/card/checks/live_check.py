"""A card that is being worked on: laid out as far as it goes, with what is to be said of each of its parts."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from tackside.card.checks.remarks import of_fit, on_faces, remarks
from tackside.card.file.design import WHOLE, CardParts, all_parts
from tackside.card.layout.layout import CardFace, Opener, every_face
from tackside.card.layout.texts import missing_characters
from tackside.card.make import as_card_sees, fits_for
from tackside.card.type.fonts import Fonts
from tackside.errors import TacksideError
from tackside.fit.fold.panels import outside_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side


@dataclass(frozen=True)
class LiveCheck:
    """``faces`` hold the parts that could be laid out, the outside first; ``faults`` say why each other one could not.

    ``remarks`` and ``faults`` are by part, called by its place in the card file; what concerns no single part is under
    ``WHOLE``. ``feeds`` is whether the printer takes the sheet at all, ``outside_on`` the face of the stock that the
    card's outside lies on. A text with characters that no font has is drawn without them, and has a fault all the same.
    """

    faces: tuple[CardFace, CardFace]
    faults: dict[Place, TacksideError]
    remarks: dict[Place, tuple[Message, ...]]
    feeds: bool
    outside_on: Side = "front"


def live_check(
    card: CardParts,
    stock: Stock,
    printer: Printer,
    opened: Opener,
    fonts: Fonts | None = None,
    path: PrintPath = UNKNOWN_PATH,
) -> LiveCheck:
    """Lay a card out although some of its parts may not stand. Raises BadRecord where not even its panels do."""
    outside = card.outside_on or outside_of(stock)
    stock, path = as_card_sees(stock, path, outside)
    fits = fits_for(stock, printer, path)
    fonts = fonts or Fonts()

    def laid(without: Collection[Place] = ()) -> tuple[CardFace, CardFace]:
        return every_face(card, stock, fits, fonts, opened, without)

    faults: dict[Place, TacksideError] = {}
    try:
        faces = laid()
    except TacksideError:
        parts = all_parts(card)
        laid(parts)  # what is wrong with the card as a whole is raised as such
        for part in parts:
            try:
                laid([each for each in parts if each != part])
            except TacksideError as error:
                faults[part] = error
        faces = laid(faults)
    for text in (text for face in faces for text in face.texts if text.missing):
        faults[text.part] = missing_characters(text)
    found: dict[Place, list[Message]] = {}
    for face in faces:
        if face.side == "front" or not face.is_empty:
            found.setdefault(WHOLE, []).extend(of_fit(face.fit))
    shown = [face for face in faces if not face.is_empty]
    found.setdefault(WHOLE, []).extend(on_faces(shown, stock, outside, path))
    for face in faces:
        for message in remarks(face, printer.grid_ppi, path.residual_mm(face.side)):
            found.setdefault(part_of(message), []).append(message)
    by_part = {part: tuple(dict.fromkeys(messages)) for part, messages in found.items() if messages}
    return LiveCheck(faces, faults, by_part, fits["front"].feed is not None, outside)


def part_of(message: Message) -> Place:
    """The part of the card that a remark concerns; ``WHOLE`` where it is no single one."""
    part = message.value("part")
    return part if isinstance(part, Place) else WHOLE
