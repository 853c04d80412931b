"""Readings and verdicts: what was found out about a trial, in the order it was found."""

from __future__ import annotations

from typing import Generic, TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tackside.bench.database.session import Vault, kept
from tackside.bench.database.tables import FindingRow, PlacementRow, ReadingRow, TrialRow, VerdictRow
from tackside.bench.ids import typed
from tackside.errors import NotFound
from tackside.records import Placement, Reading, Trial, Verdict

Found = TypeVar("Found", Reading, Verdict)


class Findings(Generic[Found]):
    """The shelf of one kind of finding."""

    def __init__(self, vault: Vault, kind: type[Found]) -> None:
        self._vault = vault
        self._kind: type[Found] = kind
        self._word = kind.__name__.lower()
        self._rows: type[FindingRow] = ReadingRow if kind is Reading else VerdictRow

    def add(self, found: Found) -> Found:
        """Keep a finding and return it with its id: the trial's, then r or v and its number there.

        Raises NotFound where its trial (or, for a verdict, its reading) is not on the bench.
        """
        rows = self._rows
        with self._vault.writing() as session:
            _require(session, TrialRow, "trial", found.trial)
            count = session.scalar(select(func.count()).select_from(rows).where(rows.trial == found.trial))
            name = f"{found.trial or 'bare'}-{self._word[0]}{(count or 0) + 1}"
            named = found.model_copy(update={"id": name})
            row = self._row(session, named, name)
            session.add(row)
            if isinstance(row, ReadingRow) and isinstance(named, Reading):
                self._tell_placement(session, row, named)
        return named

    def get(self, finding: str) -> Found:
        """One finding by its id. Raises NotFound."""
        rows = self._rows
        with self._vault.reading() as session:
            row = session.scalars(select(rows).where(rows.id == finding)).first()
            if row is None:
                raise NotFound(f"bench.no-{self._word}", id=finding)
            return self._vault.revive(self._kind, row.body)

    def latest(self, trial: str) -> Found:
        """The newest finding of a trial. Raises NotFound where there is none; ``list`` gives () instead."""
        rows = self._rows
        newest = select(rows).where(rows.trial.in_({trial, typed(trial)})).order_by(rows.seq.desc()).limit(1)
        with self._vault.reading() as session:
            row = session.scalars(newest).first()
            if row is not None:
                return self._vault.revive(self._kind, row.body)
        raise NotFound(f"bench.no-{self._word}-yet", trial=trial)

    def list(self, trial: str | None = None) -> tuple[Found, ...]:
        """All findings of a trial (or of all trials and bare files), oldest first."""
        rows = self._rows
        asked = select(rows).order_by(rows.seq)
        if trial is not None:
            asked = asked.where(rows.trial.in_({trial, typed(trial)}))
        with self._vault.reading() as session:
            return tuple(self._vault.revive(self._kind, row.body) for row in session.scalars(asked).all())

    def _tell_placement(self, session: Session, row: ReadingRow, reading: Reading) -> None:
        """Keep where the print fell in a row of its own as well, for ``Measured``."""
        if reading.placement is None or reading.trial is None:
            return
        session.flush()  # numbers the reading's row
        trial = session.scalars(select(TrialRow).where(TrialRow.id == reading.trial)).one()
        session.add(_placement_row(row, self._vault.revive(Trial, trial.body), reading.placement))

    def _row(self, session: Session, found: Reading | Verdict, name: str) -> FindingRow:
        if isinstance(found, Reading):
            return ReadingRow(
                id=name,
                trial=found.trial,
                kind=found.kind,
                made_at=found.made_at,
                **kept(found, found.source_sha256),
            )
        _require(session, ReadingRow, "reading", found.reading)
        return VerdictRow(
            id=name,
            trial=found.trial,
            reading=found.reading,
            grade=found.grade,
            cause=found.cause,
            made_at=found.made_at,
            **kept(found, None),
        )


def _require(session: Session, rows: type[TrialRow] | type[ReadingRow], word: str, id_: str | None) -> None:
    if id_ is not None and session.scalars(select(rows.seq).where(rows.id == id_)).first() is None:
        raise NotFound(f"bench.{word}-not-kept", id=id_)


def _placement_row(reading: ReadingRow, trial: Trial, placement: Placement) -> PlacementRow:
    """The narrow row beside a reading's own, which has its number already."""
    width, height = trial.sheet.size_mm
    return PlacementRow(
        reading_seq=reading.seq, trial=trial.id, stock=trial.stock, printer=trial.printer, feed=trial.feed,
        side=trial.side, width_mm=width, height_mm=height, borderless=trial.sheet.borderless,
        made_at=reading.made_at, body=placement.model_dump(mode="json"),
    )  # fmt: skip
