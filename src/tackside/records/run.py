"""What a bench keeps of a run: the plan as it was made, what was counted at the printer, jobs sent, ink changed."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.stock import Name
from tackside.records.trial import ShortText

Counted = Literal["good", "spoiled", "set-up"]
JobState = Literal[
    "sent", "pending", "held", "processing", "stopped", "canceled", "aborted", "completed", "lost"
]


class KeptBatch(Record):
    """One batch of a kept run: what is printed together, and how many sheets it takes.

    ``cards`` are names with their good sheets; ``tones_m2`` is, card by card, the full tone a sheet takes (m², all inks
    added), None where the run file gave the ink itself.
    """

    number: int
    printer: Name
    stock: Name
    setting: str
    good: int
    spoiled: int
    setup: int
    cards: tuple[tuple[str, int], ...]
    tones_m2: tuple[float | None, ...]


class KeptRun(Record):
    """A run as it was planned, from ``file`` in ``folder`` as it was then.

    ``plan`` is the document that ``run cost --json`` gave that day.
    """

    id: str | None = None
    name: Name
    folder: str
    file: str
    file_sha256: str
    made_at: datetime
    batches: tuple[KeptBatch, ...]
    plan: dict[str, Any]


class Tally(Record):
    """Sheets counted at the printer. ``why`` says what spoiled them; ``card`` is None where it does not matter."""

    run: str
    batch: int
    stock: Name
    printer: Name
    kind: Counted
    sheets: Annotated[int, Field(gt=0, le=1_000_000)]
    card: str | None = None
    why: ShortText | None = None
    tones_m2: float | None = None
    made_at: datetime


class PrintJob(Record):
    """A job sent to a printer that speaks IPP. ``asked`` are the attributes as they were really asked for; ``ignored``
    those that the printer said it did not follow; ``reasons`` its own keywords for the job's state (RFC 8011, 5.3.8);
    ``trouble`` why the job was refused or is lost. ``run`` and ``batch``, ``card`` or ``trial`` are what it was sent
    for; ``order`` is the work in the background that it was sent by, None where a person waited for it."""

    run: str | None = None
    batch: int | None = None
    card: Name | None = None
    trial: ShortText | None = None
    order: ShortText | None = None
    printer: Name
    uri: str
    document: str
    document_sha256: str
    copies: int
    asked: dict[str, Any]
    ignored: tuple[str, ...] = ()
    job_id: int | None = None
    state: JobState
    reasons: tuple[str, ...] = ()
    trouble: Message | None = None
    sheets_done: int | None = None
    made_at: datetime


class InkChange(Record):
    """A cartridge that was empty and is replaced by one of ``ml``; ``ink`` is its name, or ``set`` for all at once."""

    printer: Name
    ink: Annotated[str, StringConstraints(strip_whitespace=True, to_lower=True, min_length=1, max_length=40)]
    ml: Annotated[float, Field(gt=0, le=100_000)]
    made_at: datetime
