"""Readings and verdicts: what was found out about a trial, in the order it was found, and which of it stands."""

from __future__ import annotations

from typing import Any, Generic, TypeVar

from sqlalchemy import ColumnElement, Select, func, or_, select
from sqlalchemy.engine import Connection

from tackside.bench.database.standing import (
    foremost_reading,
    foremost_verdict,
    reading_stands,
    verdict_stands,
    with_readings,
    withdrawn,
)
from tackside.bench.database.storage import Vault, kept, require_kept
from tackside.bench.database.tables import PLACEMENT, READING, TRIAL, VERDICT, add_row
from tackside.bench.ids import typed
from tackside.errors import NotFound
from tackside.records import Reading, Trial, Verdict

Found = TypeVar("Found", Reading, Verdict)


class Findings(Generic[Found]):
    """The shelf of one kind of finding."""

    def __init__(self, vault: Vault, kind: type[Found]) -> None:
        self._vault = vault
        self._kind: type[Found] = kind
        self._word = kind.__name__.lower()
        self._table = READING if kind is Reading else VERDICT

    def add(self, found: Found) -> Found:
        """Keep a finding and return it with its id: the trial's, then r or v and its number there.

        Raises NotFound where its trial (or, for a verdict, its reading) is not on the bench.
        """
        of_trial = self._table.c.trial == found.trial
        with self._vault.writing() as connection:
            require_kept(connection, TRIAL, found.trial)
            count = connection.scalar(select(func.count()).select_from(self._table).where(of_trial))
            name = f"{found.trial or 'bare'}-{self._word[0]}{(count or 0) + 1}"
            named = found.model_copy(update={"id": name})
            if isinstance(named, Reading):
                self._add_reading(connection, named)
            else:
                _add_verdict(connection, named)
        return named

    def get(self, finding: str) -> Found:
        """One finding by its id, withdrawn or not. Raises NotFound."""
        trial, _, number = finding.strip().rpartition("-")
        known = (finding, f"{typed(trial)}-{number.lower()}")  # as it is kept, and as someone typed it
        with self._vault.reading() as connection:
            row = connection.execute(select(self._table).where(self._table.c.id.in_(known))).first()
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
        with self._vault.reading() as connection:
            if connection.scalar(select(withdrawn("trial", typed(trial)))):
                raise NotFound("bench.trial-withdrawn", trial=typed(trial))
            away = connection.execute(self._of(trial).limit(1)).first()
        why = f"all-{self._word}s-withdrawn" if away is not None else f"no-{self._word}-yet"
        raise NotFound(f"bench.{why}", trial=trial)

    def find_standing(self, trial: str) -> Found | None:
        """The finding of a trial that stands, None where there is none."""
        asked = self._of(trial).where(self._stands())
        if self._kind is Reading:
            asked = asked.order_by(*foremost_reading())
        else:
            asked = with_readings(asked).order_by(*foremost_verdict())
        with self._vault.reading() as connection:
            row = connection.execute(asked.limit(1)).first()
            return None if row is None else self._vault.revive(self._kind, row.body)

    def list(self, trial: str | None = None, *, withdrawn: bool = False) -> tuple[Found, ...]:
        """All findings of a trial (or of all trials and bare files) that were not withdrawn, oldest first.

        With ``withdrawn`` the whole history: those that were withdrawn stand among them.
        """
        asked = (select(self._table) if trial is None else self._of(trial)).order_by(self._table.c.seq)
        if not withdrawn:
            asked = asked.where(self._stands())
        with self._vault.reading() as connection:
            rows = connection.execute(asked).all()
            return tuple(self._vault.revive(self._kind, row.body) for row in rows)

    def trials_beside(self, trial: str) -> tuple[str, ...]:
        """The trials of which any verdict was ever given beside this one: as the good print, or as the card's other
        side."""
        beside = (VERDICT.c.body[name].as_string() == trial for name in ("against", "other_side"))
        asked = select(VERDICT.c.trial).where(VERDICT.c.trial.is_not(None), or_(*beside)).distinct()
        with self._vault.reading() as connection:
            return tuple(sorted(each for each in connection.scalars(asked) if each is not None))

    def _of(self, trial: str) -> Select[Any]:
        return select(self._table).where(self._table.c.trial.in_({trial, typed(trial)}))

    def _stands(self) -> ColumnElement[bool]:
        return reading_stands() if self._kind is Reading else verdict_stands()

    def _add_reading(self, connection: Connection, reading: Reading) -> None:
        """Keep a reading, and where its print fell in a row of its own as well, for ``Measured``."""
        seq = add_row(
            connection, READING,
            id=reading.id, trial=reading.trial, kind=reading.kind, made_at=reading.made_at,
            **kept(reading, reading.source_sha256),
        )  # fmt: skip
        if reading.placement is None or reading.trial is None:
            return
        body = connection.execute(select(TRIAL.c.body).where(TRIAL.c.id == reading.trial)).scalar_one()
        trial = self._vault.revive(Trial, body)
        width, height = trial.sheet.size_mm
        add_row(
            connection, PLACEMENT,
            reading_seq=seq, trial=trial.id, stock=trial.stock, printer=trial.printer, feed=trial.feed,
            side=trial.side, width_mm=width, height_mm=height, borderless=trial.sheet.borderless,
            made_at=reading.made_at, body=reading.placement.model_dump(mode="json"),
        )  # fmt: skip


def _add_verdict(connection: Connection, verdict: Verdict) -> None:
    require_kept(connection, READING, verdict.reading)
    add_row(
        connection, VERDICT,
        id=verdict.id, trial=verdict.trial, reading=verdict.reading, grade=verdict.grade, cause=verdict.cause,
        made_at=verdict.made_at, **kept(verdict, None),
    )  # fmt: skip
