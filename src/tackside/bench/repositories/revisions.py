"""Stocks, printers and cards: each change is a new revision, nothing is overwritten."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import CardRow, NamedRow, PrinterRow, StockRow
from tackside.bench.repositories.kept_files import KeptFiles
from tackside.errors import NotFound, Overtaken
from tackside.files.suggest import not_found
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.records.card import KeptCard

Revised = TypeVar("Revised", Stock, Printer, KeptCard)
_ROWS: dict[type[Stock] | type[Printer] | type[KeptCard], type[NamedRow]] = {
    Stock: StockRow,
    Printer: PrinterRow,
    KeptCard: CardRow,
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
        self._rows = _ROWS[kind]
        self._word = self._rows.__tablename__

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
        with self._vault.writing() as session:
            last = self._last(session, record.name)
            if last is not None and self._vault.revive(self._kind, last.body) == record:
                return Added(last.revision, is_new=False)
            number = 1 if last is None else last.revision + 1
            if after is not None and after != number - 1:
                raise self._overtaken(record.name, after, number - 1)
            session.add(self._row(record, number, source))
        return Added(number, is_new=True)

    def get(self, name: str, revision: int | None = None) -> Revised:
        """The newest revision, or the one asked for. Raises NotFound with the nearest name."""
        return self.kept(name, revision).record

    def revision(self, name: str) -> int:
        """The number of the newest revision. Raises NotFound."""
        return self.kept(name).number

    def kept(self, name: str, revision: int | None = None) -> Revision[Revised]:
        """As ``get``, with where the record came from."""
        with self._vault.reading() as session:
            row = self._last(session, name.strip(), revision)
            if row is None:
                raise self._missing(session, name, revision)
            return self._revision(row)

    def history(self, name: str) -> tuple[Revision[Revised], ...]:
        """All revisions, oldest first. Raises NotFound."""
        rows = self._rows
        with self._vault.reading() as session:
            found = session.scalars(
                select(rows).where(rows.name == name.strip()).order_by(rows.revision)
            ).all()
            if not found:
                raise self._missing(session, name, None)
            return tuple(self._revision(row) for row in found)

    def list(self) -> tuple[Revised, ...]:
        """The newest revision of each, by name."""
        rows = self._rows
        newest = select(rows.name, func.max(rows.revision).label("revision")).group_by(rows.name).subquery()
        same = (rows.name == newest.c.name) & (rows.revision == newest.c.revision)
        with self._vault.reading() as session:
            found = session.scalars(select(rows).join(newest, same).order_by(rows.name)).all()
            return tuple(self._vault.revive(self._kind, row.body) for row in found)

    def _last(self, session: Session, name: str, revision: int | None = None) -> NamedRow | None:
        rows = self._rows
        asked = select(rows).where(rows.name == name).order_by(rows.revision.desc()).limit(1)
        if revision is not None:
            asked = asked.where(rows.revision == revision)
        return session.scalars(asked).first()

    def _revision(self, row: NamedRow) -> Revision[Revised]:
        return Revision(
            record=self._vault.revive(self._kind, row.body),
            number=row.revision,
            kept_at=row.kept_at,
            source_sha256=row.source_sha256,
            version=row.version,
        )

    def _row(self, record: Stock | Printer | KeptCard, number: int, source: str | None) -> NamedRow:
        shared: dict[str, Any] = {"name": record.name, "revision": number, **kept(record, source)}
        if isinstance(record, Stock):
            return StockRow(
                base=record.base,
                coated=record.coated,
                weight_gsm=record.weight_gsm,
                caliper_mm=record.caliper_mm,
                **shared,
            )
        if isinstance(record, KeptCard):
            return CardRow(stock=record.stock, printer=record.printer, **shared)
        return PrinterRow(ink_kind=record.inks.kind, grid_ppi=record.grid_ppi, **shared)

    def _overtaken(self, name: str, after: int, newest: int) -> Overtaken:
        if after == 0:
            return Overtaken(f"bench.{self._word}-there-already", name=name)
        return Overtaken(f"bench.{self._word}-overtaken", name=name, newest=newest, edited=after)

    def _missing(self, session: Session, name: str, revision: int | None) -> NotFound:
        known: Sequence[str] = session.scalars(select(self._rows.name).distinct()).all()
        if revision is not None and name.strip() in known and self._rows is not CardRow:
            return NotFound(f"bench.no-{self._word}-revision", name=name, revision=revision)
        has_any = known or self._rows is CardRow  # cards are made in the workbench alone
        otherwise = Message(f"bench.see-{self._word}s" if has_any else f"bench.add-{self._word}")
        return not_found(f"bench.no-{self._word}", name, known, otherwise)
