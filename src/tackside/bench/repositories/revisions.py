"""Stocks, printers and cards: each change is a new revision, nothing is overwritten."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from sqlalchemy import Row, Select, Table, func, select
from sqlalchemy.engine import Connection

from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import CARD, PRINTER, STOCK, add_row
from tackside.bench.repositories.kept_files import KeptFiles
from tackside.errors import NotFound, Overtaken
from tackside.files.suggest import not_found
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.records.card import KeptCard

Revised = TypeVar("Revised", Stock, Printer, KeptCard)
_TABLES: dict[type[Stock] | type[Printer] | type[KeptCard], Table] = {
    Stock: STOCK,
    Printer: PRINTER,
    KeptCard: CARD,
}


@dataclass(frozen=True)
class Added:
    """What adding a record came to: its revision, and whether anything was new."""

    revision: int
    is_new: bool


@dataclass(frozen=True)
class Revision(Generic[Revised]):
    """One revision of a record, with where it came from."""

    record: Revised
    number: int
    kept_at: datetime
    source_sha256: str | None
    version: str


class Revisions(Generic[Revised]):
    """The shelf of one kind of named record."""

    def __init__(self, vault: Vault, files: Callable[[], KeptFiles], kind: type[Revised]) -> None:
        """``files``: where the file that a record came from is kept, asked for when there is one."""
        self._vault = vault
        self._files = files
        self._kind: type[Revised] = kind
        self._table = _TABLES[kind]
        self._word = self._table.name

    def add(
        self,
        record: Revised,
        source_path: str | os.PathLike[str] | None = None,
        *,
        after: int | None = None,
    ) -> Added:
        """Keep a record, and the file it came from; the same content again makes no new revision.

        ``after`` is the revision that was edited (0: there is none yet). Raises Overtaken where another one has
        become the newest meanwhile.
        """
        source = None if source_path is None else self._files().keep(source_path)
        with self._vault.writing() as connection:
            last = self._last(connection, record.name)
            if last is not None and self._vault.revive(self._kind, last.body) == record:
                return Added(last.revision, is_new=False)
            number = 1 if last is None else last.revision + 1
            if after is not None and after != number - 1:
                raise self._overtaken(record.name, after, number - 1)
            columns = _columns(record) | kept(record, source)
            add_row(connection, self._table, name=record.name, revision=number, **columns)
        return Added(number, is_new=True)

    def get(self, name: str, revision: int | None = None) -> Revised:
        """The newest revision, or the one asked for. Raises NotFound with the nearest name."""
        return self.kept(name, revision).record

    def revision(self, name: str) -> int:
        """The number of the newest revision. Raises NotFound."""
        return self.kept(name).number

    def kept(self, name: str, revision: int | None = None) -> Revision[Revised]:
        """As ``get``, with where the record came from."""
        with self._vault.reading() as connection:
            row = self._last(connection, name.strip(), revision)
            if row is None:
                raise self._missing(connection, name, revision)
            return self._revision(row)

    def history(self, name: str) -> tuple[Revision[Revised], ...]:
        """All revisions, oldest first. Raises NotFound."""
        of = self._table.c
        asked = select(self._table).where(of.name == name.strip()).order_by(of.revision)
        with self._vault.reading() as connection:
            found = connection.execute(asked).all()
            if not found:
                raise self._missing(connection, name, None)
            return tuple(self._revision(row) for row in found)

    def list(self) -> tuple[Revised, ...]:
        """The newest revision of each, by name."""
        asked = newest_of(self._table).order_by(self._table.c.name)
        with self._vault.reading() as connection:
            found = connection.execute(asked).all()
            return tuple(self._vault.revive(self._kind, row.body) for row in found)

    def _last(self, connection: Connection, name: str, revision: int | None = None) -> Row[Any] | None:
        of = self._table.c
        asked = select(self._table).where(of.name == name).order_by(of.revision.desc()).limit(1)
        if revision is not None:
            asked = asked.where(of.revision == revision)
        return connection.execute(asked).first()

    def _revision(self, row: Row[Any]) -> Revision[Revised]:
        return Revision(
            record=self._vault.revive(self._kind, row.body),
            number=row.revision,
            kept_at=row.kept_at,
            source_sha256=row.source_sha256,
            version=row.version,
        )

    def _overtaken(self, name: str, after: int, newest: int) -> Overtaken:
        if after == 0:
            return Overtaken(f"bench.{self._word}-there-already", name=name)
        return Overtaken(f"bench.{self._word}-overtaken", name=name, newest=newest, edited=after)

    def _missing(self, connection: Connection, name: str, revision: int | None) -> NotFound:
        known: Sequence[str] = connection.scalars(select(self._table.c.name).distinct()).all()
        if revision is not None and name.strip() in known and self._table is not CARD:
            return NotFound(f"bench.no-{self._word}-revision", name=name, revision=revision)
        has_any = known or self._table is CARD  # cards are made in the workbench alone
        otherwise = Message(f"bench.see-{self._word}s" if has_any else f"bench.add-{self._word}")
        return not_found(f"bench.no-{self._word}", name, known, otherwise)


def newest_of(table: Table) -> Select[Any]:
    """Of each name the row with its newest revision."""
    of = table.c
    newest = select(of.name, func.max(of.revision).label("revision")).group_by(of.name).subquery()
    return select(table).join(newest, (of.name == newest.c.name) & (of.revision == newest.c.revision))


def _columns(record: Stock | Printer | KeptCard) -> dict[str, Any]:
    """What is searched by, as told by the record."""
    if isinstance(record, Stock):
        return {
            "base": record.base,
            "coated": record.coated,
            "weight_gsm": record.weight_gsm,
            "caliper_mm": record.caliper_mm,
        }
    if isinstance(record, KeptCard):
        return {"stock": record.stock, "printer": record.printer}
    return {"ink_kind": record.inks.kind, "grid_ppi": record.grid_ppi}
