"""Verdict: grade, causes with probabilities, measures with uncertainty, reasons in sentences."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from tackside.records.base import Record

Grade = Literal["sell", "send", "draft", "reject"]
Cause = Literal[
    "none",
    "stock",
    "side",
    "too-little-ink",
    "too-much-ink",
    "managed-twice",
    "unmanaged",
    "wide-read-as-narrow",
    "narrow-read-as-wide",
    "missing-ink",
    "alignment",
    "scaling",
    "unknown",
]
GRADES: tuple[Grade, ...] = ("sell", "send", "draft", "reject")

# A single figure, or the three of a Lab colour.
Value = float | tuple[float, float, float]


class Measure(Record):
    """One measure: value, unit, one standard uncertainty, and by which method where methods differ."""

    value: Value
    unit: str
    sd: float | None = None
    method: str | None = None


class RuleOutcome(Record):
    """What one grading rule said: the grade it allows at best, in a sentence with its figure, and its source."""

    rule: str
    grade: Grade
    sentence: str
    source: str


class Evidence(Record):
    """What one figure says of one cause.

    ``weight`` is log10 of how much likelier the figure is under this cause than under the others together
    (positive speaks for it); ``sentence`` has the figure and what the cause would lead one to expect.
    """

    cause: Cause
    figure: str
    weight: float
    sentence: str


class NextStep(Record):
    """A next print or act that would tell the causes apart: its expected gain in bits and its cost in sheets."""

    step: str
    gain_bits: float
    sheets: float
    sentence: str


class Combination(Record):
    """Two faults at once, with their joint probability (shared out between the two in ``causes``)."""

    causes: tuple[Cause, Cause]
    probability: float


class Verdict(Record):
    """The verdict on one reading. ``causes`` sum to 1; ``cause`` is the likeliest.

    ``evidence`` speaks for and against the likeliest causes, the weightiest first; ``next_steps`` come with the
    most informative first; ``combined`` are pairs of faults worth naming.
    """

    id: str | None = None
    trial: str | None = None
    reading: str | None = None
    against: str | None = None
    made_at: datetime
    grade: Grade
    estimate: bool
    cause: Cause
    causes: dict[Cause, float]
    measures: dict[str, Measure]
    rules: tuple[RuleOutcome, ...]
    reasons: tuple[str, ...]
    notices: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    next_steps: tuple[NextStep, ...] = ()
    combined: tuple[Combination, ...] = ()
