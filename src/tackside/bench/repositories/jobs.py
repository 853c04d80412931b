"""Work in the background: asked for, claimed by one keeper, followed, ended; it outlives the program that runs it."""

from __future__ import annotations

import json
import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Row, select, update
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import JOB, add_row
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
# The columns of a job that goes back to the queue.
_WAITING: dict[str, Any] = {"state": "queued", "share": 0.0, "said": "", "keeper": None}


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
        name = secrets.token_hex(8)
        with self._vault.writing() as connection:
            add_row(
                connection, JOB,
                id=name, kind=kind, subject=subject, asked=asked, state="queued", share=0.0, said="",
                attempts=0, made_at=datetime.now(UTC), version=__version__,
            )  # fmt: skip
            return _job(_found(connection, name))

    def get(self, job: str) -> Job:
        """One job by its id. Raises NotFound."""
        with self._vault.reading() as connection:
            return _job(_found(connection, job))

    def list(
        self,
        *,
        subject: str | None = None,
        kind: str | None = None,
        is_open: bool | None = None,
        count: int = 50,
    ) -> tuple[Job, ...]:
        """The newest jobs, newest first."""
        asked = select(JOB).order_by(JOB.c.seq.desc()).limit(count)
        if subject is not None:
            asked = asked.where(JOB.c.subject == subject)
        if kind is not None:
            asked = asked.where(JOB.c.kind == kind)
        if is_open is not None:
            asked = asked.where(JOB.c.state.in_(OPEN) if is_open else JOB.c.state.not_in(OPEN))
        with self._vault.reading() as connection:
            return tuple(_job(row) for row in connection.execute(asked).all())

    def claim(
        self, keeper: str, kinds: Collection[str] | None = None, *, but: Collection[str] = ()
    ) -> Job | None:
        """The oldest job that waits, now this keeper's; None where none waits. Of those ``kinds`` where any are named,
        and not of those in ``but``."""
        waits = (JOB.c.state == "queued") & JOB.c.kind.not_in(but)
        if kinds is not None:
            waits &= JOB.c.kind.in_(kinds)
        with self._vault.reading() as connection:  # most of the time there is nothing, and no lock is taken
            if connection.scalars(select(JOB.c.seq).where(waits).limit(1)).first() is None:
                return None
        with self._vault.writing() as connection:
            row = connection.execute(select(JOB).where(waits).order_by(JOB.c.seq).limit(1)).first()
            if row is None:
                return None
            now, attempts = datetime.now(UTC), row.attempts + 1
            _change(connection, row, state="running", keeper=keeper, beat_at=now, attempts=attempts)
            return _job(_found(connection, row.id))

    def tell(self, job: str, share: float, doing: Message) -> None:
        """How far a running job is. A message too long to be kept leaves the one before."""
        kept = json.dumps(doing.as_data(), ensure_ascii=False)
        with self._vault.writing() as connection:
            row = _found(connection, job)
            said = kept if len(kept) <= MOST_SAID else row.said
            _change(connection, row, share=min(1.0, max(0.0, share)), said=said)

    def beat(self, keeper: str) -> None:
        """Say that the keeper is alive, for all that it runs."""
        running = (JOB.c.keeper == keeper) & JOB.c.state.in_(("running", "stopping"))
        with self._vault.writing() as connection:
            connection.execute(update(JOB).where(running).values(beat_at=datetime.now(UTC)))

    def finish(self, job: str, result: dict[str, Any]) -> None:
        self._end(job, "done", result=result)

    def fail(self, job: str, fault: Message, place: Place | None = None) -> None:
        self._end(job, "failed", fault=_kept_fault(fault, place))

    def stopped(self, job: str) -> None:
        self._end(job, "cancelled")

    def give_back(self, job: str) -> None:
        """Put a running job back to the queue as if it had not been begun: its keeper is being stopped in order."""
        with self._vault.writing() as connection:
            row = _found(connection, job)
            if row.state == "stopping":
                _change(connection, row, **_ended("cancelled"))
            elif row.state == "running":
                _change(connection, row, **_WAITING, attempts=row.attempts - 1)

    def cancel(self, job: str) -> Job:
        """Ask that a job be stopped: at once where it waits, else by its keeper. An ended one stays as it is."""
        with self._vault.writing() as connection:
            row = _found(connection, job)
            if row.state == "queued":
                _change(connection, row, **_ended("cancelled"))
            elif row.state == "running":
                _change(connection, row, state="stopping")
            return _job(_found(connection, row.id))

    def take_over(self, keeper: str, *, at_once: bool = False) -> tuple[Job, ...]:
        """Bring back what silent keepers left behind: to the queue, or to a clear end. Returns what was found.

        ``at_once`` does not wait for their silence: for a keeper that knows itself to be the only one.
        """
        others = JOB.c.state.in_(("running", "stopping")) & (JOB.c.keeper != keeper)
        with self._vault.reading() as connection:
            if connection.execute(select(JOB.c.seq).where(others).limit(1)).first() is None:
                return ()
        with self._vault.writing() as connection:
            left = [
                row
                for row in connection.execute(select(JOB).where(others)).all()
                if at_once or row.beat_at is None or datetime.now(UTC) - row.beat_at > SILENCE
            ]
            for row in left:
                _change(connection, row, **_settled(row))
            return tuple(_job(_found(connection, row.id)) for row in left)

    def _end(self, job: str, state: State, **more: Any) -> None:
        with self._vault.writing() as connection:
            row = _found(connection, job)
            if row.state not in OPEN:
                return
            share = 1.0 if state == "done" else row.share
            _change(connection, row, **_ended(state), share=share, **more)


def _ended(state: State) -> dict[str, Any]:
    return {"state": state, "ended_at": datetime.now(UTC)}


def _settled(row: Row[Any]) -> dict[str, Any]:
    """What becomes of a job whose keeper is gone."""
    if row.state == "stopping":
        return _ended("cancelled")
    if row.attempts < MOST_ATTEMPTS:
        return _WAITING
    return {**_ended("failed"), "fault": _kept_fault(Message("job.stopped-twice"), None)}


def _found(connection: Connection, job: str) -> Row[Any]:
    row = connection.execute(select(JOB).where(JOB.c.id == job)).first()
    if row is None:
        raise NotFound("job.unknown", job=job[:40])
    return row


def _change(connection: Connection, row: Row[Any], **values: Any) -> None:
    """Change a job's row in place; ``row`` stays as it was read."""
    connection.execute(update(JOB).where(JOB.c.seq == row.seq).values(**values))


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


def _job(row: Row[Any]) -> Job:
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
