"""Whole tables as plain JSON values, the same from every kind of database; and back again."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, MetaData, Table, func, insert, select, text
from sqlalchemy.engine import Connection

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.tables import UtcDateTime, line_of, plain

Row = dict[str, Any]
# Rows hold whole sheets and readings: a few at a time.
_BATCH = 100


@dataclass
class RowTally:
    """How many rows went by, and a digest of them that does not depend on their order."""

    rows: int = 0
    _sum: int = field(default=0, repr=False)

    def add(self, line: bytes) -> None:
        self.rows += 1
        self._sum = (self._sum + int.from_bytes(hashlib.sha256(line).digest(), "big")) % (1 << 256)

    @property
    def digest(self) -> str:
        """The sum, modulo 2^256, of the SHA-256 of each row's line."""
        return f"{self._sum:064x}"

    @property
    def told(self) -> tuple[int, str]:
        return self.rows, self.digest


def tables_in(connection: Connection) -> tuple[Table, ...]:
    """The tables that a database has, of whatever form, in the same order."""
    found = MetaData()
    found.reflect(connection)
    return tuple(table for table in found.sorted_tables if table.name != "alembic_version")


def rows_of(connection: Connection, table: Table) -> Iterator[Row]:
    """All rows of a table, read as a stream."""
    asked = select(table).order_by(*table.primary_key.columns)
    with connection.execute(asked, execution_options={"yield_per": _BATCH}) as found:
        for row in found.mappings():
            yield {name: plain(value) for name, value in row.items()}


def tally_of(connection: Connection, table: Table) -> RowTally:
    tally = RowTally()
    for row in rows_of(connection, table):
        tally.add(line_of(row))
    return tally


def fill(connection: Connection, table: Table, rows: Iterable[Row]) -> None:
    """Put rows into an empty table, as part of the connection's transaction; later rows are numbered on from them."""
    moments = [column.name for column in table.columns if isinstance(column.type, (DateTime, UtcDateTime))]
    waiting: list[Row] = []
    for row in rows:
        read = {name: _moment(row.get(name)) for name in moments}
        waiting.append({**row, **read})
        if len(waiting) == _BATCH:
            connection.execute(insert(table), waiting)
            waiting.clear()
    if waiting:
        connection.execute(insert(table), waiting)
    if connection.dialect.name == "postgresql" and "seq" in table.columns:
        last = connection.execute(select(func.max(table.columns["seq"]))).scalar()
        if last is not None:
            counter = text("SELECT setval(pg_get_serial_sequence(:name, 'seq'), :last)")
            connection.execute(counter, {"name": f'"{table.name}"', "last": last})


def is_empty(connection: Connection) -> bool:
    return all(connection.execute(select(table).limit(1)).first() is None for table in all_tables())


def _moment(value: Any) -> datetime | None:
    return None if value is None else datetime.fromisoformat(str(value)).astimezone(UTC)
