"""Practice: what the virtual press printed a sheet on and with which fault, and what was guessed of it."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from tackside.records.base import Record
from tackside.records.verdict import Cause

# The press's invented cards.
InventedCard = Literal["photo", "matt", "cotton"]


class PracticePrint(Record):
    """A print of the virtual press: the truth of a practice trial.

    ``trial`` is the practice trial, ``of`` the one whose sheet was printed. ``hidden``: the fault was drawn by lot and
    is not told before it is revealed; ``lot`` makes the same print again, and is 0 or more.
    """

    trial: str
    of: str
    card: InventedCard
    fault: Cause
    hidden: bool
    lot: int
    made_at: datetime


class PracticeGuess(Record):
    """What was guessed of a practice print when it was revealed: a person's guess, if they made one, and the cause that
    the verdict which stood then gave, if there was one."""

    trial: str
    guess: Cause | None
    verdict_cause: Cause | None
    made_at: datetime
