"""Whether a card can be made of each row of a list, found out without opening a picture or writing a file."""

from __future__ import annotations

from tackside.card.file.design import Card, within
from tackside.card.layout.layout import Opener, every_face
from tackside.card.layout.texts import missing_characters
from tackside.card.make import as_card_sees, fits_for
from tackside.card.series.row_faults import RowFault, Rows, refuse_all
from tackside.card.series.rows import filled_rows
from tackside.card.type.fonts import Fonts
from tackside.errors import TacksideError
from tackside.fit.fold.outside import outside_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
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
    at hand has. ``opened`` gives each picture; ``path`` is by the stock's sides."""
    seen, turned = as_card_sees(stock, path, card.outside_on or outside_of(stock))
    fits = fits_for(seen, printer, turned)
    filled, faults = filled_rows(card, rows)
    for row, each in filled:
        try:
            for face in every_face(each, seen, fits, fonts, opened):
                for text in face.texts:
                    if text.missing:
                        with within(text.part):
                            raise missing_characters(text)
        except TacksideError as error:
            faults.append(RowFault(row.number, error))
    refuse_all(rows, faults)
