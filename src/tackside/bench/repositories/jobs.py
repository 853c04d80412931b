"""Work in the background: asked for, claimed by one keeper, followed, ended; it outlives the program that runs it."""

from __future__ import annotations

import json
import secrets
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from tackside import __version__
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import JobRow
from tackside.errors import NotFound, StorageTrouble
from tackside.messages.message import KEPT, Message, place_of_data, plain_data
from tackside.messages.place import Place

State = Literal["queued", "running", "stopping", "done", "failed", "cancelled"]
OPEN: tuple[State, ...] = ("queued", "running", "stopping")
# A keeper that has not been heard of for so long is taken to be gone.
SILENCE = timedelta(seconds=20)
# A job that took its keeper down twice is not begun a third time.
MOST_ATTEMPTS = 2
MOST_SAID = 400


@dataclass(frozen=True)
class Job:
    """One piece of work. ``share`` is 0 to 1, ``doing`` what it does now; ``fault`` tells why it failed,
    and ``place`` which field of what was asked for is at fault.
    """

    id: str
    kind: str
    subject: str | None
    asked: dict[str, Any]
    state: State
    share: float
    doing: Message | None
    result: dict[str, Any] | None
    fault: Message | None
    place: Place | None
    attempts: int
    made_at: datetime
    ended_at: datetime | None

    @property
    def is_open(self) -> bool:
        return self.state in OPEN


class Jobs:
    """The list of jobs of a bench."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def add(self, kind: str, asked: dict[str, Any], subject: str | None = None) -> Job:
        """Ask for work; a keeper claims it in its turn."""
        row = JobRow(
            id=secrets.token_hex(8), kind=kind, subject=subject, asked=asked, state="queued", share=0.0, said="",
            attempts=0, made_at=datetime.now(UTC), version=__version__,
        )  # fmt: skip
        with self._vault.writing() as session:
            session.add(row)
            session.flush()
            return _job(row)

    def get(self, job: str) -> Job:
        """One job by its id. Raises NotFound."""
        with self._vault.reading() as session:
            return _job(_found(session, job))

    def list(
        self,
        *,
        subject: str | None = None,
        kind: str | None = None,
        is_open: bool | None = None,
        count: int = 50,
    ) -> tuple[Job, ...]:
        """The newest jobs, newest first."""
        asked = select(JobRow).order_by(JobRow.seq.desc()).limit(count)
        if subject is not None:
            asked = asked.where(JobRow.subject == subject)
        if kind is not None:
            asked = asked.where(JobRow.kind == kind)
        if is_open is not None:
            asked = asked.where(JobRow.state.in_(OPEN) if is_open else JobRow.state.not_in(OPEN))
        with self._vault.reading() as session:
            return tuple(_job(row) for row in session.scalars(asked).all())

    def claim(
        self, keeper: str, kinds: Collection[str] | None = None, *, but: Collection[str] = ()
    ) -> Job | None:
        """The oldest job that waits, now this keeper's; None where none waits. Of those ``kinds`` where any are named,
        and not of those in ``but``."""
        waits = (JobRow.state == "queued") & JobRow.kind.not_in(but)
        if kinds is not None:
            waits &= JobRow.kind.in_(kinds)
        with self._vault.reading() as session:  # most of the time there is nothing, and no lock is taken
            if session.scalars(select(JobRow.seq).where(waits).limit(1)).first() is None:
                return None
        with self._vault.writing() as session:
            row = session.scalars(select(JobRow).where(waits).order_by(JobRow.seq).limit(1)).first()
            if row is None:
                return None
            row.state, row.keeper, row.beat_at = "running", keeper, datetime.now(UTC)
            row.attempts += 1
            session.flush()
            return _job(row)

    def tell(self, job: str, share: float, doing: Message) -> None:
        """How far a running job is. A message too long to be kept leaves the one before."""
        kept = json.dumps(doing.as_data(), ensure_ascii=False)
        with self._vault.writing() as session:
            row = _found(session, job)
            row.share = min(1.0, max(0.0, share))
            row.said = kept if len(kept) <= MOST_SAID else row.said

    def beat(self, keeper: str) -> None:
        """Say that the keeper is alive, for all that it runs."""
        running = (JobRow.keeper == keeper) & JobRow.state.in_(("running", "stopping"))
        with self._vault.writing() as session:
            session.execute(update(JobRow).where(running).values(beat_at=datetime.now(UTC)))

    def finish(self, job: str, result: dict[str, Any]) -> None:
        self._end(job, "done", result=result)

    def fail(self, job: str, fault: Message, place: Place | None = None) -> None:
        self._end(job, "failed", fault=_kept_fault(fault, place))

    def stopped(self, job: str) -> None:
        self._end(job, "cancelled")

    def give_back(self, job: str) -> None:
        """Put a running job back to the queue as if it had not been begun: its keeper is being stopped in order."""
        with self._vault.writing() as session:
            row = _found(session, job)
            if row.state == "stopping":
                row.state, row.ended_at = "cancelled", datetime.now(UTC)
            elif row.state == "running":
                row.state, row.share, row.said, row.keeper = "queued", 0.0, "", None
                row.attempts -= 1

    def cancel(self, job: str) -> Job:
        """Ask that a job be stopped: at once where it waits, else by its keeper. An ended one stays as it is."""
        with self._vault.writing() as session:
            row = _found(session, job)
            if row.state == "queued":
                row.state, row.ended_at = "cancelled", datetime.now(UTC)
            elif row.state == "running":
                row.state = "stopping"
            session.flush()
            return _job(row)

    def take_over(self, keeper: str, *, at_once: bool = False) -> tuple[Job, ...]:
        """Bring back what silent keepers left behind: to the queue, or to a clear end. Returns what was found.

        ``at_once`` does not wait for their silence: for a keeper that knows itself to be the only one.
        """
        left: list[JobRow] = []
        with self._vault.reading() as session:
            anything = session.scalars(
                select(JobRow.seq)
                .where(JobRow.state.in_(("running", "stopping")), JobRow.keeper != keeper)
                .limit(1)
            ).first()
        if anything is None:
            return ()
        with self._vault.writing() as session:
            rows: Sequence[JobRow] = session.scalars(
                select(JobRow).where(JobRow.state.in_(("running", "stopping")), JobRow.keeper != keeper)
            ).all()
            for row in rows:
                silent = row.beat_at is None or datetime.now(UTC) - row.beat_at > SILENCE
                if at_once or silent:
                    _settle(row)
                    left.append(row)
            session.flush()
            return tuple(_job(row) for row in left)

    def _end(self, job: str, state: State, **more: Any) -> None:
        with self._vault.writing() as session:
            row = _found(session, job)
            if row.state not in OPEN:
                return
            row.state, row.ended_at = state, datetime.now(UTC)
            row.share = 1.0 if state == "done" else row.share
            for name, value in more.items():
                setattr(row, name, value)


def _settle(row: JobRow) -> None:
    """What becomes of a job whose keeper is gone."""
    if row.state == "stopping":
        row.state, row.ended_at = "cancelled", datetime.now(UTC)
    elif row.attempts < MOST_ATTEMPTS:
        row.state, row.share, row.said, row.keeper = "queued", 0.0, "", None
    else:
        row.state, row.ended_at = "failed", datetime.now(UTC)
        row.fault = _kept_fault(Message("job.stopped-twice"), None)


def _found(session: Session, job: str) -> JobRow:
    row = session.scalars(select(JobRow).where(JobRow.id == job)).first()
    if row is None:
        raise NotFound("job.unknown", job=job[:40])
    return row


def _kept_fault(fault: Message, place: Place | None) -> dict[str, Any]:
    return {**fault.as_data(), "place": plain_data(place)}


def _doing(kept: str) -> Message | None:
    """The message that ``tell`` kept; earlier versions kept a sentence."""
    if not kept:
        return None
    try:
        return Message.of_data(json.loads(kept))
    except ValueError:
        return Message(KEPT, text=kept)


def _job(row: JobRow) -> Job:
    state = next((each for each in (*OPEN, "done", "failed", "cancelled") if each == row.state), None)
    if state is None:
        raise StorageTrouble("job.unknown-state", state=row.state)
    fault = row.fault or {}
    return Job(
        id=row.id, kind=row.kind, subject=row.subject, asked=row.asked, state=state, share=row.share,
        doing=_doing(row.said),
        result=row.result, fault=Message.of_data(fault) if fault else None,
        place=place_of_data(fault.get("place")), attempts=row.attempts, made_at=row.made_at,
        ended_at=row.ended_at,
    )  # fmt: skip
