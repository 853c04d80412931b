"""Withdrawal: a reading, a trial or a count taken out of every answer, or put back; the history keeps both."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field

from tackside.records.base import Record
from tackside.records.trial import ShortText

WithdrawnKind = Literal["reading", "trial", "count"]


class Withdrawal(Record):
    """One word on what stands. ``withdrawn`` False: put back. ``why`` is the person's own reason.

    ``subject`` is the id of the reading or trial, or the number by which the bench keeps the count. Of several words on
    one thing the last holds, by ``noted_at``: they may come from another bench.
    """

    kind: WithdrawnKind
    subject: Annotated[str, Field(min_length=1, max_length=60)]
    withdrawn: bool
    why: ShortText | None = None
    noted_at: datetime
