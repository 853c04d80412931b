"""Readings and verdicts: what was found out about a trial, in the order it was found, and which of it stands."""

from __future__ import annotations

from typing import Any, Generic, TypeVar

from sqlalchemy import ColumnElement, Select, func, or_, select
from sqlalchemy.orm import Session

from tackside.bench.database.standing import (
    foremost_reading,
    foremost_verdict,
    reading_stands,
    verdict_stands,
    with_readings,
    withdrawn,
)
from tackside.bench.database.storage import Vault, kept
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
        """One finding by its id, withdrawn or not. Raises NotFound."""
        rows = self._rows
        trial, _, number = finding.strip().rpartition("-")
        known = (finding, f"{typed(trial)}-{number.lower()}")  # as it is kept, and as someone typed it
        with self._vault.reading() as session:
            row = session.scalars(select(rows).where(rows.id.in_(known))).first()
            if row is None:
                raise NotFound(f"bench.no-{self._word}", id=finding)
            return self._vault.revive(self._kind, row.body)

    def standing(self, trial: str) -> Found:
        """The finding of a trial that stands, by the rule in ``database.standing``.

        Raises NotFound where there is none, and says so where it was withdrawn; ``find_standing`` gives None instead.
        """
        found = self.find_standing(trial)
        if found is not None:
            return found
        with self._vault.reading() as session:
            if session.scalar(select(withdrawn("trial", typed(trial)))):
                raise NotFound("bench.trial-withdrawn", trial=typed(trial))
            away = session.scalars(self._of(trial).limit(1)).first()
        why = f"all-{self._word}s-withdrawn" if away is not None else f"no-{self._word}-yet"
        raise NotFound(f"bench.{why}", trial=trial)

    def find_standing(self, trial: str) -> Found | None:
        """The finding of a trial that stands, None where there is none."""
        asked = self._of(trial).where(self._stands())
        if self._kind is Reading:
            asked = asked.order_by(*foremost_reading())
        else:
            asked = with_readings(asked).order_by(*foremost_verdict())
        with self._vault.reading() as session:
            row = session.scalars(asked.limit(1)).first()
            return None if row is None else self._vault.revive(self._kind, row.body)

    def list(self, trial: str | None = None, *, withdrawn: bool = False) -> tuple[Found, ...]:
        """All findings of a trial (or of all trials and bare files) that were not withdrawn, oldest first.

        With ``withdrawn`` the whole history: those that were withdrawn stand among them.
        """
        asked = (select(self._rows) if trial is None else self._of(trial)).order_by(self._rows.seq)
        if not withdrawn:
            asked = asked.where(self._stands())
        with self._vault.reading() as session:
            return tuple(self._vault.revive(self._kind, row.body) for row in session.scalars(asked).all())

    def trials_beside(self, trial: str) -> tuple[str, ...]:
        """The trials of which any verdict was ever given beside this one: as the good print, or as the card's other
        side."""
        beside = (VerdictRow.body[name].as_string() == trial for name in ("against", "other_side"))
        asked = select(VerdictRow.trial).where(VerdictRow.trial.is_not(None), or_(*beside)).distinct()
        with self._vault.reading() as session:
            return tuple(sorted(each for each in session.scalars(asked) if each is not None))

    def _of(self, trial: str) -> Select[Any]:
        return select(self._rows).where(self._rows.trial.in_({trial, typed(trial)}))

    def _stands(self) -> ColumnElement[bool]:
        return reading_stands() if self._kind is Reading else verdict_stands()

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
