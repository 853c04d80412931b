"""The rows of a list, and what is wrong with them: every faulty row told at once."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tackside.errors import BadRecord, TacksideError
from tackside.messages.message import Message


@dataclass(frozen=True)
class ListRow:
    """One row: its number (the first after the header is 1), the line it ends on, and its fields by name."""

    number: int
    line: int
    values: dict[str, str]


@dataclass(frozen=True)
class Rows:
    """A list read: its file's name for errors, the header's names in order, its rows; ``notices`` say what about the
    file had to be guessed."""

    file: str
    names: tuple[str, ...]
    rows: tuple[ListRow, ...]
    notices: tuple[Message, ...] = ()


@dataclass(frozen=True)
class RowFault:
    """Why no card can be made of a row, by its number."""

    row: int
    error: TacksideError


@contextlib.contextmanager
def naming(file: str, row: int) -> Iterator[None]:
    """Errors say which row of which list they come from."""
    try:
        yield
    except TacksideError as error:
        raise _in_row(file, row, error) from error


def refuse_all(rows: Rows, faults: Sequence[RowFault]) -> None:
    """Raise what is wrong with the rows, where anything is.

    Of one row its own error, named. Of several a BadRecord with all of them, in the list's order; but where every row
    fails alike, as by a picture that all show, that error alone.
    """
    if not faults:
        return
    first = faults[0].error
    if len(faults) == len(rows.rows) > 1 and all(each.error.message == first.message for each in faults):
        raise first
    if len(faults) == 1:
        raise _in_row(rows.file, faults[0].row, first) from first
    told = [
        Message("card-rows.row", row=each.row, fault=each.error.message)
        for each in sorted(faults, key=lambda each: each.row)
    ]
    count = len({each.row for each in faults})
    raise BadRecord("card-rows.several", file=rows.file, count=count, rows=len(rows.rows), faults=told)


def _in_row(file: str, row: int, error: TacksideError) -> TacksideError:
    return type(error)("card-rows.in-row", file=file, row=row, fault=error.message)
