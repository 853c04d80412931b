"""Prints judged together: the fault that they share, what speaks for it, and what is left of each card."""

from __future__ import annotations

from typing import Literal

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.sheet_plan import Side
from tackside.records.trial import Settings
from tackside.records.verdict import Cause, Combination, Evidence, Grade, Measure

# What is left of a print once its group's fault is taken into account: nothing is wrong, the card is likely good once
# the fault is mended, it stands as graded since that fault leaves colours alone, its face holds no ink well, it does
# not fit the others, or this cannot be told.
Standing = Literal["sound", "likely-good", "as-graded", "bare", "differs", "open"]


class PrintAmongOthers(Record):
    """One print of a group. ``grade`` is that of its own verdict, as printed; ``causes`` (sum 1) are its own given the
    whole group; ``fits`` is the chance that it has no other fault of the path than the group, ``holds_ink`` that its
    face is coated. ``weight``: log10 of how much likelier its reading is with the group's fault than with any other,
    and ``speaks``: whether that is worth telling; ``evidence`` are its figures for and against the group's fault, and
    then its own likeliest causes."""

    trial: str
    stock: str
    side: Side
    grade: Grade
    black_l: Measure | None
    causes: dict[Cause, float]
    standing: Standing
    fits: float
    holds_ink: float
    weight: float
    speaks: Literal["for", "against", "neither"]
    evidence: tuple[Evidence, ...]
    sentence: Message


class PrintsTogether(Record):
    """A group of prints by one printer with one set of settings, both told by ``way``. ``faults``: chances of each
    fault of the path, or ``none``, as the common one, sum 1; ``fault`` is the likeliest, and ``told`` whether it is
    likely enough to be named in the ``sentence``. ``combined``: two common faults. ``speaking``: as how many
    independent prints these count. ``prints`` come with the likeliest to be good first."""

    trials: tuple[str, ...]
    printer: str
    settings: Settings
    way: Message
    fault: Cause
    told: bool
    faults: dict[Cause, float]
    combined: tuple[Combination, ...]
    speaking: float
    sentence: Message
    reasons: tuple[Message, ...]
    prints: tuple[PrintAmongOthers, ...]


class StandsAlone(Record):
    """A trial that shares its printer and settings with no other of those asked for, and why."""

    trial: str
    stock: str
    why: Message
