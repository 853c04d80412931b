"""What of a bench is as it was kept: rows by the digest beside each, files by the hash that names them.

Damage is met row by row, so that one that cannot be read costs no other.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Table, asc, desc, select, text
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from tackside.bench.database.rows import Row, rows_of
from tackside.bench.database.tables import is_as_kept, plain
from tackside.bench.location import FILES
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.sidecar_files import kept_hashes
from tackside.errors import StorageTrouble
from tackside.files.atomic import sha256_of
from tackside.messages.message import Message

# What reading a damaged row raises: the database's own word, a text that is no UTF-8, a moment or JSON that is none.
UNREADABLE = (DBAPIError, SQLAlchemyError, ValueError, TypeError, OverflowError)
# How a person knows a row, by the columns that it has.
_NAMED_BY = (("name", "revision"), ("id",), ("trial", "revision"), ("run", "number"), ("name",), ("subject",))
_MOST_TOLD = 3


@dataclass
class Soundness:
    """What has been looked at so far: ``flaws`` found, the files that sound rows name (hash → name), and the keys of
    those that others point at."""

    flaws: list[Message] = field(default_factory=list)
    named: dict[str, str] = field(default_factory=dict)
    _there: dict[tuple[str, tuple[str, ...]], set[tuple[Any, ...]]] = field(
        default_factory=lambda: defaultdict(set)
    )

    def sound_rows(self, connection: Connection, table: Table) -> Iterator[Row]:
        """The rows of a table that are as they were kept and belong to no lost one; of the rest, the flaws are noted.

        Tables that others point at must come first.
        """
        pointed_at = _pointed_at(table)
        for key, row in _readable(connection, table):
            fault = self._fault_of(table, row)
            if fault is not None:
                self.flaws.append(Message(fault, record=_called(table, key, row)))
                continue
            assert row is not None
            for columns in pointed_at:
                self._there[table.name, columns].add(tuple(row[each] for each in columns))
            if table.name == "file":
                self.named[row["sha256"]] = row["name"]
            yield row

    def sound_files(self, folder: Path, named: dict[str, str]) -> Iterator[str]:
        """The hashes of kept files that are whole. ``named``: of all that the records hold, hash → the file's name."""
        shelf = Shelf(folder / FILES)
        for sha256 in sorted({*named, *kept_hashes(folder)}):
            if not shelf.holds(sha256):
                self.note_file("missing", named[sha256], sha256)
            elif self._is_whole(shelf.place(sha256), sha256):
                yield sha256
            else:
                self.note_file("damaged", named.get(sha256, sha256), sha256)

    def note_file(self, how: str, name: str, sha256: str) -> None:
        self.flaws.append(Message(f"transfer.flaw-file-{how}", file=name, sha256=sha256))

    def _is_whole(self, place: Path, sha256: str) -> bool:
        try:
            return sha256_of(place) == sha256
        except StorageTrouble:
            return False

    def _fault_of(self, table: Table, row: Row | None) -> str | None:
        if row is None:
            return "transfer.flaw-row-unreadable"
        if not is_as_kept(row):
            return "transfer.flaw-row-altered"
        for own, owner, columns in _points_at(table):
            value = tuple(row[each] for each in own)
            if None not in value and value not in self._there[owner, columns]:
                return "transfer.flaw-row-orphaned"
        return None


def flaws_of_database(connection: Connection) -> list[Message]:
    """What SQLite itself finds wrong with its file; nothing of a server, which looks after its own."""
    if connection.dialect.name != "sqlite":
        return []
    try:
        found = [str(each) for each in connection.execute(text("PRAGMA quick_check(20)")).scalars()]
    except SQLAlchemyError as error:
        found = [str(getattr(error, "orig", error))]
    wrong = [" ".join(each.split())[:120] for each in found if each != "ok"]
    return [Message("transfer.flaw-database", said="; ".join(wrong[:_MOST_TOLD]))] if wrong else []


def _readable(connection: Connection, table: Table) -> Iterator[tuple[Any, Row | None]]:
    """Every row by its key, None for one that cannot be read."""
    (key,) = table.primary_key.columns
    done: set[Any] = set()
    try:
        for row in rows_of(connection, table):
            done.add(row[key.name])
            yield row[key.name], row
        return
    except UNREADABLE:
        pass  # from here on one by one
    for value in _keys(connection, key):
        if value not in done:
            done.add(value)
            yield value, _row(connection, table, key, value)


def _keys(connection: Connection, key: Column[Any]) -> list[Any]:
    """The keys that can be had from either end: a page that cannot be read ends the walk through a table."""
    found: dict[Any, None] = {}
    for order in (asc, desc):
        try:
            for value in connection.execute(select(key).order_by(order(key))).scalars():
                if value in found and order is desc:
                    break
                found[value] = None
        except UNREADABLE:
            continue
        if order is asc:
            break
    return list(found)


def _row(connection: Connection, table: Table, key: Column[Any], value: Any) -> Row | None:
    try:
        found = connection.execute(select(table).where(key == value)).mappings().one_or_none()
        row = None if found is None else {name: plain(each) for name, each in found.items()}
        json.dumps(row)
    except UNREADABLE:
        return None
    return row


def _pointed_at(table: Table) -> set[tuple[str, ...]]:
    """The columns of a table that others point at."""
    return {
        tuple(element.column.name for element in constraint.elements)
        for other in table.metadata.sorted_tables
        for constraint in other.foreign_key_constraints
        if constraint.referred_table is table
    }


def _points_at(table: Table) -> Iterator[tuple[tuple[str, ...], str, tuple[str, ...]]]:
    """The columns by which a table points, the table that it points at, and the columns there."""
    for constraint in table.foreign_key_constraints:
        there = tuple(element.column.name for element in constraint.elements)
        yield tuple(each.name for each in constraint.columns), constraint.referred_table.name, there


def _called(table: Table, key: Any, row: Row | None) -> str:
    what = table.name.replace("_", " ")
    for columns in _NAMED_BY if row else ():
        assert row is not None
        if all(isinstance(row.get(each), str | int) for each in columns):
            return " ".join([what, *(str(row[each])[:80] for each in columns)])
    return f"{what} no. {key}"
