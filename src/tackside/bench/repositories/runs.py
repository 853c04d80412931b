"""Runs: kept as they were planned; what is counted and sent for them is added, never changed."""

from __future__ import annotations

import hashlib
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tackside.bench.database.run_tables import InkChangeRow, PrintJobRow, RunRow, TallyRow
from tackside.bench.database.standing import count_stands
from tackside.bench.database.storage import Vault, kept
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
        with self._vault.writing() as session:
            ordinal = 1
            while _row(session, id_of(combination, ordinal)) is not None:
                ordinal += 1
            named = run.model_copy(update={"id": id_of(combination, ordinal)})
            session.add(RunRow(id=named.id, name=run.name, made_at=run.made_at, **kept(named, source_sha256)))
        return named

    def get(self, run: str) -> KeptRun:
        """A run by its id. Raises NotFound with the nearest id."""
        with self._vault.reading() as session:
            return self._vault.revive(KeptRun, self._found(session, run).body)

    def list(self) -> tuple[KeptRun, ...]:
        """All runs in the order they came."""
        with self._vault.reading() as session:
            rows = session.scalars(select(RunRow).order_by(RunRow.seq)).all()
            return tuple(self._vault.revive(KeptRun, row.body) for row in rows)

    def count(self, *tallies: Tally, after: int | None = None) -> None:
        """Add what was counted at the printer, all or nothing. Raises NotFound where the run is not on the bench.

        ``after``: so many counts of the run, withdrawn ones among them, were seen when these were made. Raises
        Overtaken where there are more.
        """
        with self._vault.writing() as session:
            for run in dict.fromkeys(tally.run for tally in tallies):
                self._found(session, run)
                self._refuse_overtaken(session, run, after)
            for tally in tallies:
                session.add(
                    TallyRow(
                        run=tally.run,
                        batch=tally.batch,
                        stock=tally.stock,
                        printer=tally.printer,
                        kind=tally.kind,
                        sheets=tally.sheets,
                        made_at=tally.made_at,
                        **kept(tally, None),
                    )
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
        asked = select(TallyRow).where(count_stands()).order_by(TallyRow.seq)
        if run is not None:
            asked = asked.where(TallyRow.run == run)
        if printer is not None:
            asked = asked.where(TallyRow.printer == printer)
        if since is not None:
            asked = asked.where(TallyRow.made_at > since)
        if until is not None:
            asked = asked.where(TallyRow.made_at <= until)
        with self._vault.reading() as session:
            return tuple(self._vault.revive(Tally, row.body) for row in session.scalars(asked).all())

    def counts(self, run: str) -> tuple[tuple[str, Tally], ...]:
        """The history of what was counted for a run, oldest first, withdrawn counts among them: (subject, tally), by
        which ``subject`` each is withdrawn."""
        asked = select(TallyRow).where(TallyRow.run == run).order_by(TallyRow.seq)
        with self._vault.reading() as session:
            return tuple(
                (str(row.seq), self._vault.revive(Tally, row.body)) for row in session.scalars(asked)
            )

    def sheets(self, stock: str, printer: str) -> tuple[tuple[str, int, str, int], ...]:
        """The log of a stock on a printer: (run, batch, kind, sheets), summed by batch and kind, without what was
        withdrawn."""
        asked = (
            select(TallyRow.run, TallyRow.batch, TallyRow.kind, func.sum(TallyRow.sheets))
            .where(TallyRow.stock == stock, TallyRow.printer == printer, count_stands())
            .group_by(TallyRow.run, TallyRow.batch, TallyRow.kind)
            .order_by(TallyRow.run, TallyRow.batch, TallyRow.kind)
        )
        with self._vault.reading() as session:
            return tuple((run, batch, kind, int(count)) for run, batch, kind, count in session.execute(asked))

    def note_job(self, job: PrintJob, number: int | None = None) -> int:
        """Keep a job as it stands now; its number on this bench, which later news of it are given under."""
        with self._vault.writing() as session:
            if number is None:
                number = (session.scalar(select(func.max(PrintJobRow.number))) or 0) + 1
            session.add(
                PrintJobRow(
                    number=number,
                    run=job.run,
                    printer=job.printer,
                    state=job.state,
                    made_at=job.made_at,
                    **kept(job, None),
                )
            )
        return number

    def jobs(self, run: str | None = None) -> tuple[PrintJob, ...]:
        """The newest state of each job, in the order they were sent; of one run, or all."""
        return tuple(job for _, job in self.numbered_jobs(run))

    def numbered_jobs(
        self, run: str | None = None, *, of_no_run: bool = False
    ) -> tuple[tuple[int, PrintJob], ...]:
        """The same, each with the number that ``note_job`` gave it; ``of_no_run``: those that were sent for none."""
        newest = select(func.max(PrintJobRow.seq)).group_by(PrintJobRow.number)
        asked = select(PrintJobRow).where(PrintJobRow.seq.in_(newest)).order_by(PrintJobRow.number)
        if run is not None:
            asked = asked.where(PrintJobRow.run == run)
        if of_no_run:
            asked = asked.where(PrintJobRow.run.is_(None))
        with self._vault.reading() as session:
            return tuple(
                (row.number, self._vault.revive(PrintJob, row.body)) for row in session.scalars(asked).all()
            )

    def change_ink(self, *changes: InkChange) -> None:
        """Note cartridges replaced, all or nothing."""
        with self._vault.writing() as session:
            for change in changes:
                session.add(
                    InkChangeRow(
                        printer=change.printer, ink=change.ink, made_at=change.made_at, **kept(change, None)
                    )
                )

    def ink_changes(self, printer: str) -> tuple[InkChange, ...]:
        """All cartridges replaced in a printer, by time."""
        asked = (
            select(InkChangeRow)
            .where(InkChangeRow.printer == printer)
            .order_by(InkChangeRow.made_at, InkChangeRow.seq)
        )
        with self._vault.reading() as session:
            return tuple(self._vault.revive(InkChange, row.body) for row in session.scalars(asked).all())

    def _refuse_overtaken(self, session: Session, run: str, after: int | None) -> None:
        if after is None:
            return
        there = session.scalar(select(func.count()).select_from(TallyRow).where(TallyRow.run == run)) or 0
        if there != after:
            raise Overtaken("bench.run-overtaken")

    def _found(self, session: Session, run: str) -> RunRow:
        row = _row(session, run) or _row(session, typed(run))
        if row is not None:
            return row
        known = session.scalars(select(RunRow.id)).all()
        otherwise = Message("bench.see-runs" if known else "bench.keep-run")
        raise not_found("bench.no-run", run, known, otherwise)


def _row(session: Session, run: str) -> RunRow | None:
    return session.scalars(select(RunRow).where(RunRow.id == run)).first()
