"""Every row of a list laid out, and what each is called: on its file, its page, the pick list."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass

from tackside.card.file.design import Card, variables_in
from tackside.card.make import AS_THE_CARD_SAYS, LaidOut, lay_out_for
from tackside.card.pixels.conversion import Output
from tackside.card.series.row_faults import ListRow, RowFault, Rows, refuse_all
from tackside.card.series.rows import card_variables, filled_rows, in_its_column
from tackside.card.type.fonts import fonts_of
from tackside.errors import BadRecord, TacksideError
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.records import Printer, Stock

LONGEST_STEM = 60
# What some disk does not take in a name, and blanks.
_UNFIT = re.compile(r'[\\/:*?"<>|\x00-\x1f\x7f\s]+')


@dataclass(frozen=True)
class LaidRow:
    """A row's card laid out. ``name`` is what the row is called, empty where it says nothing for that."""

    row: ListRow
    name: str
    card: Card
    laid: LaidOut

    @property
    def title(self) -> str:
        """The row by number and name: no two of a list are the same."""
        return f"{self.row.number} {self.name}".strip()


def lay_rows(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    named_by: str | None = None,
    only: Collection[int] | None = None,
    drawn: bool = False,
) -> tuple[LaidRow, ...]:
    """The card of each row, or of ``only`` these by number; ``drawn``: for a screen, as ``lay_out_for`` has it.

    Raises what is wrong with all of these rows at once, before anything is made.
    """
    column = naming_column(card, rows, named_by)
    if only is not None:
        rows = Rows(
            rows.file, rows.names, tuple(each for each in rows.rows if each.number in only), rows.notices
        )
    fonts = fonts_of(card)
    filled, faults = filled_rows(card, rows)
    found: list[LaidRow] = []
    for row, each in filled:
        try:
            with in_its_column(card, row, rows.names):
                laid = lay_out_for(each, stock, printer, output=output, path=path, fonts=fonts, drawn=drawn)
        except TacksideError as error:
            faults.append(RowFault(row.number, error))
        else:
            found.append(LaidRow(row, row_name(row, column), each, laid))
    refuse_all(rows, faults)
    return tuple(found)


def naming_column(card: Card, rows: Rows, asked: str | None = None) -> str:
    """The column that rows are called by: the one that is asked for, else the first that the card's words show.

    Raises BadRecord for one that the list does not have.
    """
    if asked is not None:
        if asked not in rows.names:
            raise BadRecord("card-rows.named-by-nothing", name=asked, file=rows.file, columns=rows.names)
        return asked
    shown = (name for text in card.texts for name in variables_in(text.text))
    wanted = (*shown, *card_variables(card))
    return next((name for name in wanted if name in rows.names), rows.names[0])


def row_name(row: ListRow, column: str) -> str:
    """What a row is called by that column: on one line."""
    return " ".join(row.values.get(column, "").split())


def row_stem(stem: str, number: int, of: int, name: str) -> str:
    """``card-007-Ann-Bell``: the number, so that files lie in the list's order, and the name as any disk takes it."""
    width = max(3, len(str(of)))
    plain = _UNFIT.sub("-", unicodedata.normalize("NFC", name)).strip(" .-")[:LONGEST_STEM].strip(" .-")
    return f"{stem}-{number:0{width}d}" + (f"-{plain}" if plain else "")


def row_called(rows: Rows, asked: str, column: str) -> int:
    """A row's number by what a person calls it: its number, or its name. Raises BadRecord."""
    if asked.strip().isdigit() and 1 <= int(asked) <= len(rows.rows):
        return int(asked)
    wanted = " ".join(asked.split()).casefold()
    found = [row.number for row in rows.rows if row_name(row, column).casefold() == wanted]
    if not found:
        raise BadRecord(
            "card-rows.no-such-row", row=asked, file=rows.file, last=len(rows.rows), column=column
        )
    return found[0]
