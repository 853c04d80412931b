"""Verdict: grade, causes with probabilities, measures with uncertainty, reasons as messages."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from pydantic import field_validator, model_validator

from tackside.messages.message import KEPT, Message
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
# Whether a profile was made for this very card, or for one of its class.
ProfileOf = Literal["card", "class"]
GRADES: tuple[Grade, ...] = ("sell", "send", "draft", "reject")

# A single figure, or the three of a Lab colour.
Value = float | tuple[float, float, float]


class Measure(Record):
    """One measure: value, unit, one standard uncertainty, and by which method where methods differ.

    ``of``: of how many, where it counts some of them.
    """

    value: Value
    unit: str
    of: int | None = None
    sd: float | None = None
    method: str | None = None


class RuleOutcome(Record):
    """What one grading rule said: the grade it allows at best, in words with its figure, and the limits' source.

    ``close_call``: that the figure's uncertainty could change the print's grade; None where it could not.
    """

    rule: str
    grade: Grade
    sentence: Message
    close_call: Message | None = None
    source: Message


# What figures were called when they were kept as words.
_FIGURES_KEPT = {
    "black": "black",
    "the middle grey's lightness": "middle-grey-lightness",
    "the middle grey's a*": "middle-grey-a",
    "the middle grey's b*": "middle-grey-b",
    "the solids' chroma": "solids-chroma",
    "the growth of lines": "line-growth",
    "the doubling of vertical edges": "doubled-edges",
    "the error of size": "size-error",
}


class Evidence(Record):
    """What one figure, or one answer by eye, says of one cause.

    ``weight`` is log10 of how much likelier the figure is under this cause than under the others together
    (positive speaks for it); ``sentence`` has the figure and what the cause would lead one to expect.
    """

    cause: Cause
    figure: Message
    weight: float
    sentence: Message

    @field_validator("figure", mode="before")
    @classmethod
    def _figure_kept_as_words(cls, figure: Any) -> Any:
        known = _FIGURES_KEPT.get(figure) if isinstance(figure, str) else None
        return figure if known is None else Message(f"evidence.figure.{known}")


class NextStep(Record):
    """A next print or act that would tell the causes apart: its expected gain in bits, and its cost in sheets of card
    and minutes of a person's time (0 in verdicts kept before it was told).

    ``mends``: faults of ``combined`` that it does not look into, and that are to be mended in its print.
    """

    step: str
    gain_bits: float
    sheets: float
    minutes: float = 0.0
    mends: tuple[Cause, ...] = ()
    sentence: Message


class CardHolds(Record):
    """What the card can hold, whatever the path does: the grade that black, range and gamut allow.

    ``gamut`` is the hull of paper, black and the six solids, in thousands of cubic ΔE*ab, None where it is not known;
    ``inferred`` from what a colour path shows, or else measured.
    """

    grade: Grade
    black_l: Measure
    gamut: Measure | None
    inferred: bool
    sentence: Message


class PathMakes(Record):
    """What the colour path makes of the card: the grade that hues, greys, shadows and the order of tones allow."""

    grade: Grade
    sentence: Message


class Combination(Record):
    """Two faults at once, with their joint probability (shared out between the two in ``causes``)."""

    causes: tuple[Cause, Cause]
    probability: float


class Verdict(Record):
    """The verdict on one reading. ``causes`` sum to 1; ``cause`` is the likeliest.

    The first of ``reasons`` is the grade; one that a rule gave has the rule's id as its value ``rule``. ``evidence``
    speaks for and against the likeliest causes, the weightiest first; ``next_steps`` come with the one that settles
    most for its cost first; ``combined`` are pairs of faults worth naming. What it was given beside the print, so that
    judging it again can be given the same: the trials ``against`` (a good print) and ``other_side``, and the profile, a
    file on the bench, with what it was made for. ``card`` and ``path`` take the grade apart; None where that cannot be
    told, such
    as by eye, and ``path`` where no colour path was printed through. ``close_to``: the other grades that its figures
    reach within their expanded uncertainties, best first; of a photograph, within what that adds to the uncertainty of
    the reading that it rests on.
    """

    id: str | None = None
    trial: str | None = None
    reading: str | None = None
    against: str | None = None
    other_side: str | None = None
    profile_sha256: str | None = None
    profile_of: ProfileOf | None = None
    made_at: datetime
    grade: Grade
    close_to: tuple[Grade, ...] = ()
    estimate: bool
    cause: Cause
    causes: dict[Cause, float]
    measures: dict[str, Measure]
    rules: tuple[RuleOutcome, ...]
    reasons: tuple[Message, ...]
    notices: tuple[Message, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    next_steps: tuple[NextStep, ...] = ()
    combined: tuple[Combination, ...] = ()
    card: CardHolds | None = None
    path: PathMakes | None = None

    @model_validator(mode="before")
    @classmethod
    def _reasons_kept_as_words(cls, held: Any) -> Any:
        """Verdicts kept before reasons were messages: a reason that is a rule's own sentence belongs to that rule."""
        if not isinstance(held, dict) or not any(isinstance(each, str) for each in held.get("reasons", ())):
            return held
        rules = [rule for rule in held.get("rules", ()) if isinstance(rule, dict)]
        rule_of = {rule["sentence"]: rule["rule"] for rule in rules if isinstance(rule.get("sentence"), str)}
        reasons = [
            {"code": KEPT, "values": {"text": each, "rule": rule_of[each]}}
            if isinstance(each, str) and each in rule_of
            else each
            for each in held["reasons"]
        ]
        return {**held, "reasons": reasons}


# What the next thing to do is begun with: a sheet of the same card, side and space, or one that differs in what is
# named; a card made; this trial's own pages. None: with nothing of ours.
Door = Literal["sheet", "other-side", "device-sheet", "another-card", "make-card", "read-again", "settings"]


class ThreeLines(Record):
    """A verdict in three lines: what the print is good for, why, and the one thing to do next.

    ``does`` names that (``step.do.…``), and ``door`` what begins it. ``seen``: what it rests on, a few short lines,
    with the rule's id or "" before each. ``steps``: what else would tell.
    """

    good_for: Message
    why: Message
    then: Message
    does: str
    door: Door | None
    seen: tuple[tuple[str, Message], ...]
    steps: tuple[NextStep, ...]

    @property
    def lines(self) -> tuple[Message, Message, Message]:
        return self.good_for, self.why, self.then
