"""Runs: kept as they were planned; what is counted and sent for them is added, never changed."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, select
from sqlalchemy.engine import Connection

from tackside.bench.database.run_tables import INK_CHANGE, PRINT_JOB, RUN, TALLY
from tackside.bench.database.standing import count_stands
from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import add_row
from tackside.bench.ids import canonical, id_of, typed
from tackside.errors import Overtaken
from tackside.files.suggest import not_found
from tackside.messages.message import Message
from tackside.records.run import InkChange, KeptRun, PrintJob, Tally


class Runs:
    """The shelf of runs, with the log of the printer beside it."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def add(self, run: KeptRun, source_sha256: str | None = None) -> KeptRun:
        """Keep a run and return it with its id."""
        unnamed = run.model_copy(update={"id": None})
        combination = hashlib.sha256(canonical(unnamed).encode()).hexdigest()
        with self._vault.writing() as connection:
            ordinal = 1
            while _row(connection, id_of(combination, ordinal)) is not None:
                ordinal += 1
            named = run.model_copy(update={"id": id_of(combination, ordinal)})
            columns = kept(named, source_sha256)
            add_row(connection, RUN, id=named.id, name=run.name, made_at=run.made_at, **columns)
        return named

    def get(self, run: str) -> KeptRun:
        """A run by its id. Raises NotFound with the nearest id."""
        with self._vault.reading() as connection:
            return self._vault.revive(KeptRun, self._found(connection, run).body)

    def list(self) -> tuple[KeptRun, ...]:
        """All runs in the order they came."""
        with self._vault.reading() as connection:
            rows = connection.execute(select(RUN).order_by(RUN.c.seq)).all()
            return tuple(self._vault.revive(KeptRun, row.body) for row in rows)

    def count(self, *tallies: Tally, after: int | None = None) -> None:
        """Add what was counted at the printer, all or nothing. Raises NotFound where the run is not on the bench.

        ``after``: so many counts of the run, withdrawn ones among them, were seen when these were made. Raises
        Overtaken where there are more.
        """
        with self._vault.writing() as connection:
            for run in dict.fromkeys(tally.run for tally in tallies):
                self._found(connection, run)
                self._refuse_overtaken(connection, run, after)
            for tally in tallies:
                add_row(
                    connection,
                    TALLY,
                    run=tally.run,
                    batch=tally.batch,
                    stock=tally.stock,
                    printer=tally.printer,
                    kind=tally.kind,
                    sheets=tally.sheets,
                    made_at=tally.made_at,
                    **kept(tally, None),
                )

    def tallies(
        self,
        run: str | None = None,
        *,
        printer: str | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
    ) -> tuple[Tally, ...]:
        """All that was counted and not withdrawn, oldest first: of a run, a printer, after ``since`` and up to
        ``until``."""
        asked = select(TALLY).where(count_stands()).order_by(TALLY.c.seq)
        if run is not None:
            asked = asked.where(TALLY.c.run == run)
        if printer is not None:
            asked = asked.where(TALLY.c.printer == printer)
        if since is not None:
            asked = asked.where(TALLY.c.made_at > since)
        if until is not None:
            asked = asked.where(TALLY.c.made_at <= until)
        with self._vault.reading() as connection:
            return tuple(self._vault.revive(Tally, row.body) for row in connection.execute(asked).all())

    def counts(self, run: str) -> tuple[tuple[str, Tally], ...]:
        """The history of what was counted for a run, oldest first, withdrawn counts among them: (subject, tally), by
        which ``subject`` each is withdrawn."""
        asked = select(TALLY).where(TALLY.c.run == run).order_by(TALLY.c.seq)
        with self._vault.reading() as connection:
            return tuple(
                (str(row.seq), self._vault.revive(Tally, row.body)) for row in connection.execute(asked)
            )

    def sheets(self, stock: str, printer: str) -> tuple[tuple[str, int, str, int], ...]:
        """The log of a stock on a printer: (run, batch, kind, sheets), summed by batch and kind, without what was
        withdrawn."""
        asked = (
            select(TALLY.c.run, TALLY.c.batch, TALLY.c.kind, func.sum(TALLY.c.sheets))
            .where(TALLY.c.stock == stock, TALLY.c.printer == printer, count_stands())
            .group_by(TALLY.c.run, TALLY.c.batch, TALLY.c.kind)
            .order_by(TALLY.c.run, TALLY.c.batch, TALLY.c.kind)
        )
        with self._vault.reading() as connection:
            return tuple(
                (run, batch, kind, int(count)) for run, batch, kind, count in connection.execute(asked)
            )

    def note_job(self, job: PrintJob, number: int | None = None) -> int:
        """Keep a job as it stands now; its number on this bench, which later news of it are given under."""
        with self._vault.writing() as connection:
            if number is None:
                number = (connection.scalar(select(func.max(PRINT_JOB.c.number))) or 0) + 1
            add_row(
                connection,
                PRINT_JOB,
                number=number,
                run=job.run,
                printer=job.printer,
                state=job.state,
                made_at=job.made_at,
                **kept(job, None),
            )
        return number

    def jobs(self, run: str | None = None) -> tuple[PrintJob, ...]:
        """The newest state of each job, in the order they were sent; of one run, or all."""
        return tuple(job for _, job in self.numbered_jobs(run))

    def numbered_jobs(
        self, run: str | None = None, *, of_no_run: bool = False
    ) -> tuple[tuple[int, PrintJob], ...]:
        """The same, each with the number that ``note_job`` gave it; ``of_no_run``: those that were sent for none."""
        newest = select(func.max(PRINT_JOB.c.seq)).group_by(PRINT_JOB.c.number)
        asked = select(PRINT_JOB).where(PRINT_JOB.c.seq.in_(newest)).order_by(PRINT_JOB.c.number)
        if run is not None:
            asked = asked.where(PRINT_JOB.c.run == run)
        if of_no_run:
            asked = asked.where(PRINT_JOB.c.run.is_(None))
        with self._vault.reading() as connection:
            return tuple(
                (row.number, self._vault.revive(PrintJob, row.body))
                for row in connection.execute(asked).all()
            )

    def change_ink(self, *changes: InkChange) -> None:
        """Note cartridges replaced, all or nothing."""
        with self._vault.writing() as connection:
            for change in changes:
                add_row(
                    connection, INK_CHANGE,
                    printer=change.printer, ink=change.ink, made_at=change.made_at, **kept(change, None),
                )  # fmt: skip

    def ink_changes(self, printer: str) -> tuple[InkChange, ...]:
        """All cartridges replaced in a printer, by time."""
        asked = (
            select(INK_CHANGE)
            .where(INK_CHANGE.c.printer == printer)
            .order_by(INK_CHANGE.c.made_at, INK_CHANGE.c.seq)
        )
        with self._vault.reading() as connection:
            return tuple(self._vault.revive(InkChange, row.body) for row in connection.execute(asked).all())

    def _refuse_overtaken(self, connection: Connection, run: str, after: int | None) -> None:
        if after is None:
            return
        there = connection.scalar(select(func.count()).select_from(TALLY).where(TALLY.c.run == run)) or 0
        if there != after:
            raise Overtaken("bench.run-overtaken")

    def _found(self, connection: Connection, run: str) -> Row[Any]:
        row = _row(connection, run) or _row(connection, typed(run))
        if row is not None:
            return row
        known = connection.scalars(select(RUN.c.id)).all()
        otherwise = Message("bench.see-runs" if known else "bench.keep-run")
        raise not_found("bench.no-run", run, known, otherwise)


def _row(connection: Connection, run: str) -> Row[Any] | None:
    return connection.execute(select(RUN).where(RUN.c.id == run)).first()
