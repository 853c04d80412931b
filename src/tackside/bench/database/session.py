"""Sessions on a bench's database, and records in and out of its rows."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from tackside import __version__
from tackside.bench.database.storage import WRITES, require_same_form, translated
from tackside.errors import StorageTrouble
from tackside.records import Record

AnyRecord = TypeVar("AnyRecord", bound=Record)


@dataclass(frozen=True)
class Vault:
    """The database of one bench. Transactions are short; a failed one leaves nothing behind."""

    engine: Engine
    database: Path | str

    @contextlib.contextmanager
    def reading(self) -> Iterator[Session]:
        with translated(self.database), Session(self.engine) as session:
            yield session

    @contextlib.contextmanager
    def writing(self) -> Iterator[Session]:
        """Take the write lock at once, commit at the end of the block.

        Raises StorageTrouble where the bench was moved elsewhere, or brought to a newer form, since it was opened.
        """
        writer = self.engine.execution_options(**{WRITES: True})
        with translated(self.database), Session(writer) as session, session.begin():
            require_same_form(session.connection(), self.database)
            yield session

    @contextlib.contextmanager
    def at_once(self) -> Iterator[Vault]:
        """A vault for the block alone, all of whose writing is one transaction: kept whole, or not at all."""
        with self.writing() as session:
            yield _Joined(self.engine, self.database, session)

    def counts(self) -> dict[str, int]:
        """How many rows each table holds."""
        from tackside.bench.database.all_tables import all_tables  # few calls need them all

        with self.reading() as session:
            return {
                table.name: session.scalar(select(func.count()).select_from(table)) or 0
                for table in all_tables()
            }

    def revive(self, kind: type[AnyRecord], body: dict[str, Any]) -> AnyRecord:
        """The record that a row's JSON holds. Raises StorageTrouble where it is no longer one."""
        try:
            return kind.model_validate(body)
        except ValidationError as error:
            raise StorageTrouble(
                "bench.record-damaged",
                bench=str(self.database), record=kind.__name__.lower(), count=error.error_count(),
            ) from error  # fmt: skip


@dataclass(frozen=True)
class _Joined(Vault):
    """Reads and writes in a transaction that is already open."""

    session: Session

    @contextlib.contextmanager
    def reading(self) -> Iterator[Session]:
        yield self.session

    @contextlib.contextmanager
    def writing(self) -> Iterator[Session]:
        yield self.session
        self.session.flush()


def kept(record: Record, source_sha256: str | None) -> dict[str, Any]:
    """The columns that every row shares: the record, when, from which file, by which version."""
    return {
        "body": record.model_dump(mode="json"),
        "kept_at": datetime.now(UTC),
        "source_sha256": source_sha256,
        "version": __version__,
    }
