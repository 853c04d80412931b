"""A list of rows as a file: CSV (RFC 4180), and what spreadsheets write under that name: semicolons or tabs between
fields, UTF-16, or the Windows code page of Western Europe.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from tackside.card.series.row_faults import ListRow, RowFault, Rows, refuse_all
from tackside.errors import BadRecord
from tackside.files.outside import Intake
from tackside.messages.message import Message

LARGEST_BYTES = 20_000_000
MOST_ROWS = 10_000
_LIST = Intake(
    BadRecord, missing="card-rows.no-file", too_large="card-rows.too-large", most_bytes=LARGEST_BYTES
)
SEPARATORS = (",", ";", "\t")
# Byte order marks (Unicode 15, 23.8, table 23-4).
_MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be"))
_CODE_PAGE = "cp1252"
_SHOWN = 3  # fields that show whether a code page was taken rightly


def read_rows(path: Path | str) -> Rows:
    """Read a list whose first line names the fields.

    Text is UTF-8, or UTF-16 with its mark, else taken for Windows-1252, which ``notices`` then say. What separates
    the fields is the sign that the first line has most of: comma, semicolon or tab; a line ``sep=;`` before it says
    so itself, as some spreadsheets write it. Raises BadRecord, with every row of too many fields.
    """
    path = Path(path)
    text, guessed = _text(path)
    text, skipped, separator = _separated(text)
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=separator)
    rows: list[ListRow] = []
    faults: list[RowFault] = []
    try:
        names = tuple(name.strip() for name in next(reader, []))
        _refuse_header(names, path)
        for fields in reader:
            if not any(field.strip() for field in fields):
                continue
            number, line = len(rows) + 1, reader.line_num + skipped
            kept = [field.strip() for field in fields]
            while len(kept) > len(names) and not kept[-1]:
                kept.pop()  # spreadsheets pad rows with empty cells
            if len(kept) > len(names):
                long = BadRecord("card-rows.too-many-fields", line=line, count=len(kept), columns=len(names))
                faults.append(RowFault(number, long))
            rows.append(ListRow(number, line, dict(zip(names, kept, strict=False))))
    except csv.Error as error:
        raise BadRecord(
            "card-rows.not-csv", file=str(path), line=reader.line_num + skipped, reason=str(error)
        ) from error
    if not rows:
        raise BadRecord("card-rows.no-rows", file=str(path))
    if len(rows) > MOST_ROWS:
        raise BadRecord("card-rows.too-many-rows", file=str(path), count=len(rows), most=MOST_ROWS)
    read = Rows(str(path), names, tuple(rows), _notices(path, rows) if guessed else ())
    refuse_all(read, faults)
    return read


def _text(path: Path) -> tuple[str, bool]:
    """The file's text, and whether its encoding had to be guessed."""
    data = _LIST.read(path)
    mark, encoding = next((each for each in _MARKS if data.startswith(each[0])), (b"", "utf-8"))
    try:
        text = data[len(mark) :].decode(encoding)
    except UnicodeDecodeError as error:
        if mark:
            raise BadRecord("card-rows.not-text", file=str(path)) from error
        text, guessed = _of_code_page(data, path), True
    else:
        guessed = False
    if "\0" in text:  # a workbook, or UTF-16 without its mark
        raise BadRecord("card-rows.not-text", file=str(path))
    return text, guessed


def _of_code_page(data: bytes, path: Path) -> str:
    try:
        text = data.decode(_CODE_PAGE)
    except UnicodeDecodeError as error:
        raise BadRecord("card-rows.not-text", file=str(path)) from error
    if any(ord(each) < 32 and each not in "\t\r\n" for each in text):
        raise BadRecord("card-rows.not-text", file=str(path))
    return text


def _separated(text: str) -> tuple[str, int, str]:
    """The text without a line that names the separator, how many lines that were, and the separator."""
    first, _, rest = text.partition("\n")
    told = first.strip().strip('"')
    if told.lower().startswith("sep=") and told[4:] in SEPARATORS:
        return rest, 1, told[4:]
    if first.rstrip("\r").lower() == "sep=\t":
        return rest, 1, "\t"
    header = _unquoted(text)
    return text, 0, max(SEPARATORS, key=header.count)  # of as many, the first: a comma


def _unquoted(text: str) -> str:
    """The first line without what stands between quotes."""
    quoted = False
    found: list[str] = []
    for each in text:
        if each == '"':
            quoted = not quoted
        elif not quoted:
            if each in "\r\n" and found:
                break
            found.append(each)
    return "".join(found)


def _refuse_header(names: Sequence[str], path: Path) -> None:
    if not any(names):
        raise BadRecord("card-rows.empty", file=str(path))
    for column, name in enumerate(names, start=1):
        if not name:
            raise BadRecord("card-rows.unnamed-column", file=str(path), column=column)
        if names.index(name) != column - 1:
            raise BadRecord("card-rows.column-twice", file=str(path), column=name)


def _notices(path: Path, rows: Sequence[ListRow]) -> tuple[Message, ...]:
    """That a code page was taken, with fields that show whether it was the right one."""
    fields = (field for row in rows for field in row.values.values() if not field.isascii())
    shown = tuple(field for _, field in zip(range(_SHOWN), dict.fromkeys(fields), strict=False))
    return (Message("card-rows.code-page", file=path.name, fields=shown),)
