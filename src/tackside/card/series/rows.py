"""The rows of a personalised run: one card for each of them, and what each is called."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from typing import Any

from tackside.card.file.design import Card, filled, picture_part, plain, refuse_outside, variables_in, within
from tackside.card.series.row_faults import ListRow, RowFault, Rows, refuse_all
from tackside.errors import BadRecord, TacksideError
from tackside.files.outside import require_name
from tackside.files.suggest import nearest
from tackside.messages.place import Place


def personalised(card: Card, rows: Rows) -> tuple[Card, ...]:
    """A card for each row, its variables filled.

    Raises BadRecord where the file lacks a field that the card asks for, or rows leave it empty: all of them at once.
    """
    found, faults = filled_rows(card, rows)
    refuse_all(rows, faults)
    return tuple(each for _, each in found)


def filled_rows(card: Card, rows: Rows) -> tuple[list[tuple[ListRow, Card]], list[RowFault]]:
    """A card for each row that has all it asks for, and what is wrong with the others.

    Raises BadRecord where the file lacks a field that the card asks for.
    """
    wanted = card_variables(card)
    _refuse_unknown(wanted, rows)
    found: list[tuple[ListRow, Card]] = []
    faults: list[RowFault] = []
    for row in rows.rows:
        lacking = list(_lacking(row, rows, wanted))
        faults += (RowFault(row.number, each) for each in lacking)
        if lacking:
            continue
        try:
            found.append((row, _filled(card, row, rows.names)))
        except TacksideError as error:
            faults.append(RowFault(row.number, error))
    return found, faults


def _refuse_unknown(wanted: Sequence[str], rows: Rows) -> None:
    if not wanted:
        raise BadRecord("card-rows.nothing-to-fill", column=rows.names[0])
    for name in wanted:
        if name not in rows.names:
            near = nearest(name, rows.names)
            asked: dict[str, Any] = {"name": name, "file": rows.file, "columns": rows.names}
            if near is not None:
                raise BadRecord("card-rows.unknown-field-near", near=near, **asked)
            raise BadRecord("card-rows.unknown-field", **asked)


def card_variables(card: Card) -> tuple[str, ...]:
    """All variables of a card, in the order of its file."""
    words = [*(part.file for part in card.pictures), *(part.text for part in card.texts)]
    if card.credit:
        words += [card.credit.text, card.credit.qr]
    return tuple(dict.fromkeys(name for word in words for name in variables_in(word)))


def _filled(card: Card, row: ListRow, names: Sequence[str]) -> Card:
    pictures = tuple(
        part.model_copy(update={"file": plain(filled(part.file, row.values))})
        if variables_in(part.file)
        else part
        for part in card.pictures
    )
    for number, part in enumerate(pictures):
        with in_its_column(card, row, names), within(picture_part(number)):
            require_name(card.folder / part.file)
            refuse_outside(part.file, card.folder)
    texts = tuple(part.model_copy(update={"text": filled(part.text, row.values)}) for part in card.texts)
    credit = card.credit and card.credit.model_copy(
        update={"text": filled(card.credit.text, row.values), "qr": filled(card.credit.qr, row.values)}
    )
    return card.model_copy(update={"pictures": pictures, "texts": texts, "credit": credit})


@contextlib.contextmanager
def in_its_column(card: Card, row: ListRow, names: Sequence[str]) -> Iterator[None]:
    """Errors of a part of ``card`` that shows fields of the row say in which column, by the first that it asks for.

    ``names`` are those of all columns, in order.
    """
    try:
        yield
    except TacksideError as error:
        asked = _asked_at(card, error.place)
        if not asked:
            raise
        column = names.index(asked[0]) + 1
        raise type(error)("card-rows.in-column", line=row.line, column=column, fault=error.message) from error


def _asked_at(card: Card, place: Place | None) -> tuple[str, ...]:
    """The variables of the part of a card that an error comes from; none where it says no part."""
    match place:
        case Place("card", ("pictures", int(number), *_)):
            return variables_in(card.pictures[number].file)
        case Place("card", ("texts", int(number), *_)):
            return variables_in(card.texts[number].text)
        case Place("card", ("credit", *_)) if card.credit is not None:
            return variables_in(card.credit.text + card.credit.qr)
    return ()


def _lacking(row: ListRow, rows: Rows, wanted: Sequence[str]) -> Iterator[BadRecord]:
    """What a row leaves empty; it may leave out what the card does not use."""
    for name in wanted:
        if not row.values.get(name):
            yield BadRecord(
                "card-rows.field-empty", line=row.line, column=rows.names.index(name) + 1, name=name
            )
