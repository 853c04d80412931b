"""Sessions on a bench's database, and records in and out of its rows."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from tackside import __version__
from tackside.bench.records import Record
from tackside.bench.storage import WRITES, translated
from tackside.errors import StorageTrouble

AnyRecord = TypeVar("AnyRecord", bound=Record)


@dataclass(frozen=True)
class Vault:
    """The database of one bench. Transactions are short; a failed one leaves nothing behind."""

    engine: Engine
    database: Path

    @contextlib.contextmanager
    def reading(self) -> Iterator[Session]:
        with translated(self.database), Session(self.engine) as session:
            yield session

    @contextlib.contextmanager
    def writing(self) -> Iterator[Session]:
        """Take the write lock at once, commit at the end of the block."""
        writer = self.engine.execution_options(**{WRITES: True})
        with translated(self.database), Session(writer) as session, session.begin():
            yield session

    def revive(self, kind: type[AnyRecord], body: dict[str, Any]) -> AnyRecord:
        """The record that a row's JSON holds. Raises StorageTrouble where it is no longer one."""
        try:
            return kind.model_validate(body)
        except ValidationError as error:
            raise StorageTrouble(
                f"the bench {self.database} holds a {kind.__name__.lower()} that does not hold together "
                f"({error.error_count()} faults)",
                "restore bench.sqlite from your last copy of it, or install the version that wrote it",
            ) from error


def kept(record: Record, source_sha256: str | None) -> dict[str, Any]:
    """The columns that every row shares: the record, when, from which file, by which version."""
    return {
        "body": record.model_dump(mode="json"),
        "kept_at": datetime.now(UTC),
        "source_sha256": source_sha256,
        "version": __version__,
    }
