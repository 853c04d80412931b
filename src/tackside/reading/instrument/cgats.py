"""CGATS.17 text (ISO 28178): the grammar. Lines to tables of words; what columns mean is in ``columns``.

The reader is tolerant where files differ (first line, quotes, tabs, comments, several tables) and strict
where tolerance would guess at numbers (counts that disagree, rows of the wrong length, a missing end).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from io import StringIO

from tackside.errors import BadInstrumentFile
from tackside.reading.instrument.measured import MOST_ROWS

_WORD = re.compile(r'"([^"]*)"?|(\S+)')
_BEGIN = ("BEGIN_DATA_FORMAT", "BEGIN_DATA")
_END_FORMAT, _END_DATA = "END_DATA_FORMAT", "END_DATA"
_COUNTS = ("NUMBER_OF_FIELDS", "NUMBER_OF_SETS")


@dataclass(frozen=True)
class Row:
    """One data row: the line it stands on (1 is the first) and its words."""

    line: int
    words: tuple[str, ...]


@dataclass(frozen=True)
class CgatsTable:
    """One table: ``keywords`` in upper case with the last value given, ``fields`` as written, ``rows``."""

    keywords: dict[str, str]
    fields: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass
class _Builder:
    """What is known of the table being read."""

    keywords: dict[str, str] = field(default_factory=dict)
    keyword_lines: dict[str, int] = field(default_factory=dict)
    fields: list[str] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)


def words_of(line: str) -> list[str]:
    """The words of a line: split at white space, quotes hold words together, ``#`` begins a comment.

    A ``#`` inside a word does not: patch names such as ``A#1`` exist.
    """
    words: list[str] = []
    for match in _WORD.finditer(line):
        if match.group(2) is not None and match.group(2).startswith("#"):
            break
        words.append(match.group(1) if match.group(1) is not None else match.group(2))
    return words


def parse_cgats(text: str, name: str) -> tuple[CgatsTable, ...]:
    """All tables of a file. ``text`` has ``\\n`` line ends; ``name`` is for messages.

    Raises BadInstrumentFile with the line where counts disagree, a row is short, or the file breaks off.
    """
    tables: list[CgatsTable] = []
    table, state, began = _Builder(), "head", 0
    for number, line in enumerate(StringIO(text), start=1):
        words = words_of(line)
        if not words:
            continue
        first = words[0].upper()
        if first in _BEGIN and state == "head":
            state, began = ("format" if first == _BEGIN[0] else "data"), number
            if state == "data" and not table.fields:
                raise BadInstrumentFile("instrument.no-data-format", file=name, line=number)
            table.fields.extend(words[1:] if state == "format" else [])
        elif first in _BEGIN:
            raise BadInstrumentFile(
                "instrument.begins-inside", file=name, line=number, word=first, began=began
            )
        elif state == "format":
            state = _take_fields(table, words)
        elif state == "data" and first == _END_DATA:
            tables.append(_finished(table, name, began))
            table, state = _Builder(), "head"
        elif state == "data":
            table.rows.append(_row(line, words, number, table.fields, name))
            if len(table.rows) > MOST_ROWS:
                raise BadInstrumentFile("instrument.too-many-rows", file=name, limit=MOST_ROWS)
        else:
            _take_keyword(table, words, number)
    if state != "head":
        ending = _END_DATA if state == "data" else _END_FORMAT
        raise BadInstrumentFile("instrument.breaks-off", file=name, began=began, ending=ending)
    return tuple(tables)


def _take_fields(table: _Builder, words: list[str]) -> str:
    """Add field names up to END_DATA_FORMAT; the state that follows."""
    for word in words:
        if word.upper() == _END_FORMAT:
            return "head"
        table.fields.append(word)
    return "format"


def _take_keyword(table: _Builder, words: list[str], number: int) -> None:
    key = words[0].upper()
    if key == "KEYWORD" or len(words) < 2:
        return
    table.keywords[key] = " ".join(words[1:])
    table.keyword_lines[key] = number


def _row(line: str, words: list[str], number: int, fields: list[str], name: str) -> Row:
    if len(words) == len(fields):
        return Row(number, tuple(words))
    cells = [cell.strip().strip('"') for cell in line.strip("\n").split("\t")]
    if len(cells) == len(fields):  # names with spaces, kept apart by tabs alone
        return Row(number, tuple(cells))
    raise BadInstrumentFile(
        "instrument.row-length", file=name, line=number, values=len(words), columns=len(fields)
    )


def _finished(table: _Builder, name: str, began: int) -> CgatsTable:
    for key, found, things in zip(
        _COUNTS, (len(table.fields), len(table.rows)), ("columns", "rows"), strict=True
    ):
        stated = table.keywords.get(key)
        if stated is None:
            continue
        line = table.keyword_lines[key]
        if not stated.isdecimal() or not stated.isascii():
            raise BadInstrumentFile(
                "instrument.count-no-number", file=name, line=line, key=key, stated=stated[:40]
            )
        if len(stated) > 9 or int(stated) != found:
            raise BadInstrumentFile(
                f"instrument.{things}-disagree",
                file=name,
                line=line,
                key=key,
                stated=stated[:12],
                found=found,
            )
    if not table.rows:
        raise BadInstrumentFile("instrument.no-rows", file=name, line=began)
    return CgatsTable(table.keywords, tuple(table.fields), tuple(table.rows))
