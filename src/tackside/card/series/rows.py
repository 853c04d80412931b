"""The rows of a personalised run: a CSV file (RFC 4180), and one card for each of its rows."""

from __future__ import annotations

import contextlib
import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.card.file.design import Card
from tackside.card.file.load import refuse_outside
from tackside.card.file.variables import filled, plain, variables_in
from tackside.errors import BadRecord, TacksideError
from tackside.files.suggest import nearest

LARGEST_BYTES = 20_000_000
MOST_ROWS = 10_000


@dataclass(frozen=True)
class Row:
    """One row: its number (the first after the header is 1), the line it ends on, and its fields by name."""

    number: int
    line: int
    values: dict[str, str]


@dataclass(frozen=True)
class Rows:
    """A CSV file read: its name for errors, the header's names in order, and its rows."""

    file: str
    names: tuple[str, ...]
    rows: tuple[Row, ...]


def read_rows(path: Path | str) -> Rows:
    """Read a CSV file, UTF-8, whose first line names the fields. Raises BadRecord."""
    path = Path(path)
    reader = csv.reader(io.StringIO(_text(path), newline=""), strict=True)
    try:
        names = tuple(name.strip() for name in next(reader, []))
        _refuse_header(names, path)
        rows: list[Row] = []
        for fields in reader:
            if not any(field.strip() for field in fields):
                continue
            number = len(rows) + 1
            _refuse_count(fields, names, f"{path}, row {number} (line {reader.line_num})")
            values = dict(zip(names, (field.strip() for field in fields), strict=False))
            rows.append(Row(number, reader.line_num, values))
    except csv.Error as error:
        raise BadRecord(
            f"{path}, line {reader.line_num}: not valid CSV ({error})",
            "save it again as CSV, with double quotes round fields that hold commas or quotes",
        ) from error
    if not rows:
        raise BadRecord(f"{path} has no rows under its first line", "add a row for each card")
    if len(rows) > MOST_ROWS:
        raise BadRecord(f"{path} has {len(rows)} rows", f"split it into files of {MOST_ROWS} rows at most")
    return Rows(str(path), names, tuple(rows))


def personalised(card: Card, rows: Rows) -> tuple[Card, ...]:
    """A card for each row, its variables filled.

    Raises BadRecord where the file lacks a field that the card asks for, or a row leaves it empty.
    """
    wanted = card_variables(card)
    if not wanted:
        raise BadRecord(
            "the card has no {name} to fill from the rows",
            f"write {{{rows.names[0]}}} where a row's {rows.names[0]} should stand, or leave the rows out",
        )
    for name in wanted:
        if name not in rows.names:
            near = nearest(name, rows.names)
            meant = f"did you mean {{{near}}}? " if near else ""
            raise BadRecord(
                f"the card asks for {{{name}}}, which {rows.file} does not have",
                f"{meant}Its fields are {', '.join(rows.names)}; {{{{ and }}}} print braces",
            )
    _refuse_empty(rows, wanted)
    return tuple(_filled(card, row, rows.file) for row in rows.rows)


@contextlib.contextmanager
def naming(file: str, row: int) -> Iterator[None]:
    """Errors say which row of which list they come from."""
    try:
        yield
    except TacksideError as error:
        raise type(error)(f"{file}, row {row}: {error.what}", error.fix) from error


def card_variables(card: Card) -> tuple[str, ...]:
    """All variables of a card, in the order of its file."""
    words = [*(part.file for part in card.pictures), *(part.text for part in card.texts)]
    if card.credit:
        words += [card.credit.text, card.credit.qr]
    return tuple(dict.fromkeys(name for word in words for name in variables_in(word)))


def _filled(card: Card, row: Row, file: str) -> Card:
    pictures = tuple(
        part.model_copy(update={"file": plain(filled(part.file, row.values))})
        if variables_in(part.file)
        else part
        for part in card.pictures
    )
    for part in pictures:
        refuse_outside(part.file, card.folder, f"{file}, row {row.number}")
    texts = tuple(part.model_copy(update={"text": filled(part.text, row.values)}) for part in card.texts)
    credit = card.credit and card.credit.model_copy(
        update={"text": filled(card.credit.text, row.values), "qr": filled(card.credit.qr, row.values)}
    )
    return card.model_copy(update={"pictures": pictures, "texts": texts, "credit": credit})


def _text(path: Path) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise BadRecord(f"{path} is larger than a list of rows can be (20 MB)", "name a CSV file")
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise BadRecord(f"there is no file {path}", "check the name and the folder") from error
    except UnicodeDecodeError as error:
        raise BadRecord(f"{path} is not UTF-8 text", "save it as CSV UTF-8") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadRecord(f"cannot read {path}: {reason.lower()}", "check its name and permissions") from error


def _refuse_header(names: Sequence[str], path: Path) -> None:
    if not any(names):
        raise BadRecord(
            f"{path} is empty", "write the fields' names in the first line, then a row for each card"
        )
    if len(names) == 1 and ";" in names[0]:
        raise BadRecord(f"{path} has semicolons between its fields", "save it with commas (RFC 4180)")
    for column, name in enumerate(names, start=1):
        if not name:
            raise BadRecord(f"{path}, line 1: column {column} has no name", "give every column a name")
        if names.index(name) != column - 1:
            raise BadRecord(f'{path}, line 1: two columns are called "{name}"', "rename one of them")


def _refuse_count(fields: Sequence[str], names: Sequence[str], where: str) -> None:
    if len(fields) > len(names):
        raise BadRecord(
            f"{where} has {len(fields)} fields, the first line has {len(names)}",
            "put double quotes round a field that holds a comma",
        )


def _refuse_empty(rows: Rows, wanted: Sequence[str]) -> None:
    """Rows may leave out what the card does not use."""
    lacking = [(row, name) for row in rows.rows for name in wanted if not row.values.get(name)]
    if not lacking:
        return
    row, name = lacking[0]
    more = f" (and {len(lacking) - 1} more)" if len(lacking) > 1 else ""
    raise BadRecord(
        f'{rows.file}, row {row.number} (line {row.line}), column {rows.names.index(name) + 1}: no "{name}"{more}',
        "fill it in, or take the row out",
    )
