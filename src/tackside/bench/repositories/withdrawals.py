"""Withdrawals: what was taken out of every answer, what was put back, when and why. Nothing is deleted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import func, select
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import WITHDRAWAL, add_row
from tackside.records.standing.withdrawal import Withdrawal, WithdrawnKind


class Withdrawals:
    """The shelf of what was withdrawn. ``database.standing`` asks the same of it in queries."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def note(self, *words: Withdrawal) -> int:
        """Keep what was withdrawn or put back, all or nothing; how many of them were new.

        A word that changes nothing is not kept again.
        """
        new = 0
        with self._vault.writing() as connection:
            for word in words:
                known = _words(connection, word.kind, (word.subject,))
                if word in known or (not known and not word.withdrawn):
                    continue
                if known and known[-1].withdrawn == word.withdrawn and known[-1].noted_at <= word.noted_at:
                    continue
                add_row(
                    connection, WITHDRAWAL,
                    kind=word.kind, subject=word.subject, withdrawn=word.withdrawn, why=word.why or None,
                    noted_at=word.noted_at, kept_at=datetime.now(UTC), version=__version__,
                )  # fmt: skip
                new += 1
        return new

    def history(self, kind: WithdrawnKind, subject: str) -> tuple[Withdrawal, ...]:
        """All words on one thing, the last one last: that one holds."""
        with self._vault.reading() as connection:
            return _words(connection, kind, (subject,))

    def of(self, kind: WithdrawnKind, subjects: Sequence[str]) -> dict[str, Withdrawal]:
        """Those of some things that are withdrawn now, each with the word that holds."""
        with self._vault.reading() as connection:
            last = {word.subject: word for word in _words(connection, kind, subjects)}
        return {subject: word for subject, word in last.items() if word.withdrawn}

    def last(self) -> int:
        """A number that grows with each word on the bench; 0 while there is none."""
        with self._vault.reading() as connection:
            return connection.scalar(select(func.max(WITHDRAWAL.c.seq))) or 0


def _words(connection: Connection, kind: WithdrawnKind, subjects: Sequence[str]) -> tuple[Withdrawal, ...]:
    asked = (
        select(WITHDRAWAL)
        .where(WITHDRAWAL.c.kind == kind, WITHDRAWAL.c.subject.in_(subjects))
        .order_by(WITHDRAWAL.c.noted_at, WITHDRAWAL.c.seq)
    )
    return tuple(
        Withdrawal(
            kind=kind, subject=row.subject, withdrawn=row.withdrawn, why=row.why, noted_at=row.noted_at
        )
        for row in connection.execute(asked)
    )
