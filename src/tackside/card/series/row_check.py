"""Whether a card can be made of each row of a list, found out without opening a picture or writing a file."""

from __future__ import annotations

from tackside.card.file.design import CREDIT, Card, all_parts, variables_in, within
from tackside.card.layout.layout import Opener, every_face
from tackside.card.layout.texts import missing_characters
from tackside.card.make import as_card_sees, fits_for
from tackside.card.series.row_faults import RowFault, Rows, refuse_all
from tackside.card.series.rows import filled_rows, in_its_column
from tackside.card.type.fonts import Fonts
from tackside.errors import TacksideError
from tackside.fit.fold.panels import outside_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.place import Place
from tackside.records import Printer, Stock


def refuse_unfit_rows(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    opened: Opener,
    fonts: Fonts,
    path: PrintPath = UNKNOWN_PATH,
) -> None:
    """Raise what is wrong with any row, all at once: a field left empty, words that have no room, letters that no font
    at hand has. What all rows share is laid out once, and raises what is wrong with it as such. ``opened`` gives each
    picture; ``path`` is by the stock's sides."""
    seen, turned = as_card_sees(stock, path, card.outside_on or outside_of(stock))
    fits = fits_for(seen, printer, turned)
    own = [each for each in all_parts(card) if _differs(card, each)]
    shared = [each for each in all_parts(card) if each not in own]

    def lay(design: Card, without: list[Place]) -> None:
        for face in every_face(design, seen, fits, fonts, opened, without):
            for text in face.texts:
                if text.missing:
                    with within(text.part):
                        raise missing_characters(text)

    lay(card, own)
    filled, faults = filled_rows(card, rows)
    for row, each in filled:
        try:
            with in_its_column(card, row, rows.names):
                lay(each, shared)
        except TacksideError as error:
            faults.append(RowFault(row.number, error))
    refuse_all(rows, faults)


def _differs(card: Card, part: Place) -> bool:
    """Whether a part of the card holds something of the rows."""
    if part == CREDIT:
        return card.credit is not None and bool(variables_in(card.credit.text + card.credit.qr))
    kind, number = part.path
    words = card.texts[int(number)].text if kind == "texts" else card.pictures[int(number)].file
    return bool(variables_in(words))
