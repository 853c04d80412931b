"""The rows of a personalised run: a CSV file (RFC 4180), and one card for each of its rows."""

from __future__ import annotations

import contextlib
import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tackside.card.file.design import Card, filled, plain, variables_in
from tackside.card.file.load import refuse_outside
from tackside.errors import BadRecord, TacksideError
from tackside.files.suggest import nearest

LARGEST_BYTES = 20_000_000
MOST_ROWS = 10_000


@dataclass(frozen=True)
class ListRow:
    """One row: its number (the first after the header is 1), the line it ends on, and its fields by name."""

    number: int
    line: int
    values: dict[str, str]


@dataclass(frozen=True)
class Rows:
    """A CSV file read: its name for errors, the header's names in order, and its rows."""

    file: str
    names: tuple[str, ...]
    rows: tuple[ListRow, ...]


def read_rows(path: Path | str) -> Rows:
    """Read a CSV file, UTF-8, whose first line names the fields. Raises BadRecord."""
    path = Path(path)
    reader = csv.reader(io.StringIO(_text(path), newline=""), strict=True)
    try:
        names = tuple(name.strip() for name in next(reader, []))
        _refuse_header(names, path)
        rows: list[ListRow] = []
        for fields in reader:
            if not any(field.strip() for field in fields):
                continue
            number = len(rows) + 1
            if len(fields) > len(names):
                raise BadRecord(
                    "card-rows.too-many-fields",
                    file=str(path),
                    row=number,
                    line=reader.line_num,
                    count=len(fields),
                    columns=len(names),
                )
            values = dict(zip(names, (field.strip() for field in fields), strict=False))
            rows.append(ListRow(number, reader.line_num, values))
    except csv.Error as error:
        raise BadRecord(
            "card-rows.not-csv", file=str(path), line=reader.line_num, reason=str(error)
        ) from error
    if not rows:
        raise BadRecord("card-rows.no-rows", file=str(path))
    if len(rows) > MOST_ROWS:
        raise BadRecord("card-rows.too-many-rows", file=str(path), count=len(rows), most=MOST_ROWS)
    return Rows(str(path), names, tuple(rows))


def personalised(card: Card, rows: Rows) -> tuple[Card, ...]:
    """A card for each row, its variables filled.

    Raises BadRecord where the file lacks a field that the card asks for, or a row leaves it empty.
    """
    wanted = card_variables(card)
    if not wanted:
        raise BadRecord("card-rows.nothing-to-fill", column=rows.names[0])
    for name in wanted:
        if name not in rows.names:
            near = nearest(name, rows.names)
            asked: dict[str, Any] = {"name": name, "file": rows.file, "columns": rows.names}
            if near is not None:
                raise BadRecord("card-rows.unknown-field-near", near=near, **asked)
            raise BadRecord("card-rows.unknown-field", **asked)
    _refuse_empty(rows, wanted)
    return tuple(_filled(card, row, rows.file) for row in rows.rows)


@contextlib.contextmanager
def naming(file: str, row: int) -> Iterator[None]:
    """Errors say which row of which list they come from."""
    try:
        yield
    except TacksideError as error:
        raise type(error)("card-rows.in-row", file=file, row=row, fault=error.message) from error


def card_variables(card: Card) -> tuple[str, ...]:
    """All variables of a card, in the order of its file."""
    words = [*(part.file for part in card.pictures), *(part.text for part in card.texts)]
    if card.credit:
        words += [card.credit.text, card.credit.qr]
    return tuple(dict.fromkeys(name for word in words for name in variables_in(word)))


def _filled(card: Card, row: ListRow, file: str) -> Card:
    pictures = tuple(
        part.model_copy(update={"file": plain(filled(part.file, row.values))})
        if variables_in(part.file)
        else part
        for part in card.pictures
    )
    with naming(file, row.number):
        for part in pictures:
            refuse_outside(part.file, card.folder)
    texts = tuple(part.model_copy(update={"text": filled(part.text, row.values)}) for part in card.texts)
    credit = card.credit and card.credit.model_copy(
        update={"text": filled(card.credit.text, row.values), "qr": filled(card.credit.qr, row.values)}
    )
    return card.model_copy(update={"pictures": pictures, "texts": texts, "credit": credit})


def _text(path: Path) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise BadRecord("card-rows.too-large", file=str(path))
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise BadRecord("card-rows.no-file", file=str(path)) from error
    except UnicodeDecodeError as error:
        raise BadRecord("card-rows.not-utf-8", file=str(path)) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadRecord("card-rows.not-read", file=str(path), reason=reason.lower()) from error


def _refuse_header(names: Sequence[str], path: Path) -> None:
    if not any(names):
        raise BadRecord("card-rows.empty", file=str(path))
    if len(names) == 1 and ";" in names[0]:
        raise BadRecord("card-rows.semicolons", file=str(path))
    for column, name in enumerate(names, start=1):
        if not name:
            raise BadRecord("card-rows.unnamed-column", file=str(path), column=column)
        if names.index(name) != column - 1:
            raise BadRecord("card-rows.column-twice", file=str(path), column=name)


def _refuse_empty(rows: Rows, wanted: Sequence[str]) -> None:
    """Rows may leave out what the card does not use."""
    lacking = [(row, name) for row in rows.rows for name in wanted if not row.values.get(name)]
    if not lacking:
        return
    row, name = lacking[0]
    where: dict[str, Any] = {
        "row": row.number,
        "line": row.line,
        "column": rows.names.index(name) + 1,
        "name": name,
    }
    if len(lacking) > 1:
        raise BadRecord("card-rows.fields-empty", file=rows.file, others=len(lacking) - 1, **where)
    raise BadRecord("card-rows.field-empty", file=rows.file, **where)
