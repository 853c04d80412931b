"""What the verdict says that belongs to no single rule: grade, the paper's white (its tint, and the ISO 12647-2 paper
that it is nearest to), shares, causes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from tackside.colour.spaces import lab_to_lch
from tackside.messages.message import Message
from tackside.records.reading import Lab
from tackside.records.verdict import Cause, Combination, Grade, Measure
from tackside.verdict.causes.weigh import likeliest
from tackside.verdict.measures.measure import number, spread

CAUSES: tuple[Cause, ...] = get_args(Cause)
# What tells whether it is this cause (``cause.test.…``); two causes that are looked into alike share one.
_TESTS: dict[Cause, str] = {
    **{cause: cause for cause in CAUSES if cause not in ("none", "unknown")},
    "wide-read-as-narrow": "misread-space",
    "narrow-read-as-wide": "misread-space",
}
_WORTH_NAMING, SURE_ENOUGH, _PLAIN = 0.15, 0.4, 0.6
# Where the colours came from, if no instrument measured them.
Source = Literal["by-eye", "from-a-scan", "from-a-photo"]


def cause_named(cause: Cause) -> Message:
    """The cause as a phrase: "colour managed twice"."""
    return Message(f"cause.{cause}")


def chance_of(cause: Cause, causes: Mapping[Cause, float]) -> float:
    """Its chance; those of bare card and of the bare side of a card stand together, since they look alike."""
    bare: tuple[Cause, ...] = ("stock", "side")
    return sum(causes.get(one, 0.0) for one in (bare if cause in bare else (cause,)))


def cause_as_noun(cause: Cause) -> Message:
    """The cause after "for", "against" or "if it were"."""
    return Message("evidence.sound-print") if cause == "none" else cause_named(cause)


def grade_reason(grade: Grade, source: Source | None) -> Message:
    """What the print is good for; ``source`` where that is an estimate."""
    return Message(f"verdict.graded{f'-{source}' if source else ''}.{grade}", grade=grade)


def paper_reason(measures: dict[str, Measure]) -> list[Message]:
    """The paper's white in words, where it was measured."""
    paper = measures.get("paper_lab")
    if paper is None or not isinstance(paper.value, tuple):  # a measure of that name always is three figures
        return []
    lightness, a, b = paper.value
    white = Message("measure.paper-white", tint=tint_of(paper.value), lightness=lightness, a=a, b=b)
    classes = paper_classes(paper.value)
    return [Message("measure.paper-white-like", **white.values, classes=classes) if classes else white]


def share_reason(measures: dict[str, Measure], beside: Literal["print", "profile"]) -> list[Message]:
    """The shares of the reference, which is a print or what a profile predicts; none where there are no shares."""
    shares = [
        Message(f"verdict.share.{code}", share=share, sd=spread(measures, name))
        for name, code in (
            ("share_l_range", "l-range"),
            ("share_chroma", "chroma"),
            ("share_gamut_volume", "gamut-volume"),
        )
        if (share := number(measures, name)) is not None
    ]
    return [Message(f"verdict.beside-{beside}", shares=shares)] if shares else []


def cause_reason(grade: Grade, causes: dict[Cause, float]) -> Message:
    """The likely causes with their chances. What would tell them apart are the next steps (``next_step``)."""
    first = likeliest(causes)
    ranked = sorted(causes, key=lambda cause: (cause != first, -causes[cause]))
    if first == "none" and grade == "sell":
        return Message("cause.no-fault", chance=causes[first])
    named = [cause for cause in ranked if cause == first or causes[cause] >= _WORTH_NAMING]
    weighed = [Message("cause.weighed", cause=cause_named(cause), chance=causes[cause]) for cause in named]
    if first == "none":
        return _sound(causes[first], weighed[1:])
    open_still = chance_of(first, causes) < SURE_ENOUGH or first == "unknown"
    return Message("cause.cannot-be-told" if open_still else "cause.likeliest", causes=weighed)


def _sound(chance: float, others: list[Message]) -> Message:
    """Where nothing is wrong, what there is is what the card holds: there is no cause to look for."""
    if not others:
        return Message("cause.all-that-the-card-holds", chance=chance)
    return Message("cause.likely-sound", chance=chance, others=others)


def test_of(cause: Cause) -> Message | None:
    """What tells whether it is this cause, and mends it; None where nothing does."""
    return Message(f"cause.test.{_TESTS[cause]}") if cause in _TESTS else None


def combined_reasons(combined: Sequence[Combination]) -> list[Message]:
    """Faults that may be there together."""
    return [
        Message(
            "cause.together",
            first=cause_named(one.causes[0]),
            second=cause_named(one.causes[1]),
            chance=one.probability,
        )
        for one in combined
    ]


def limits(causes: dict[Cause, float]) -> list[Message]:
    """What no setting can put right."""
    if causes["stock"] + causes["side"] < _PLAIN:
        return []
    other_side = causes["side"] > 2 * causes["stock"]
    return [Message("cause.turn-the-card-over" if other_side else "cause.take-another-card")]


@dataclass(frozen=True)
class PaperClass:
    """A paper type of ISO 12647-2:2004, table 1: L*a*b* on black and on white backing (D50, 2°, 0/45)."""

    name: Message
    on_black: Lab
    on_white: Lab


PAPER_CLASSES = (
    PaperClass(Message("measure.paper.gloss-coated"), (93, 0, -3), (95, 0, -2)),
    PaperClass(Message("measure.paper.matt-coated"), (92, 0, -3), (94, 0, -2)),
    PaperClass(Message("measure.paper.gloss-coated-web"), (87, -1, 3), (92, 0, 5)),  # docs/sources.md, S105
    PaperClass(Message("measure.paper.uncoated-white"), (92, 0, -3), (95, 0, -2)),
    PaperClass(Message("measure.paper.uncoated-yellowish"), (88, 0, 6), (90, 0, 9)),
)
TOLERANCE: Lab = (3, 2, 2)

# Under two units of chroma a white looks neutral beside another; over five it looks coloured
# (docs/sources.md, S34).
_NEUTRAL, _SLIGHT, _PLAINLY = 2.0, 5.0, 10.0
_HUES = (
    (20, "pinkish"),
    (65, "warm"),
    (110, "yellowish"),
    (200, "greenish"),
    (315, "bluish"),
    (360, "pinkish"),
)


def tint_of(lab: Lab) -> Message:
    """The paper white in words, such as "bright and slightly bluish"."""
    lightness, chroma, hue = (float(value) for value in lab_to_lch(np.array(lab, dtype=float)))
    light = "bright" if lightness >= 93 else "fairly-bright" if lightness >= 88 else "greyed"
    if lightness < 75:
        light = "dark"
    tint = "neutral"
    if chroma >= _NEUTRAL:
        degree = "slightly-" if chroma < _SLIGHT else "" if chroma < _PLAINLY else "strongly-"
        tint = degree + next(word for limit, word in _HUES if hue <= limit)
    return Message(
        "measure.tint", light=Message(f"measure.light.{light}"), hue=Message(f"measure.hue.{tint}")
    )


def paper_classes(lab: Lab) -> tuple[Message, ...]:
    """ISO 12647-2 papers whose white lies within the tolerance of ``lab``, nearest first; maybe none.

    White alone cannot tell coated from uncoated: the standard gives both nearly the same white.
    """
    found = []
    for paper in PAPER_CLASSES:
        gaps = [math.dist(lab, aim) for aim in (paper.on_black, paper.on_white) if _within(lab, aim)]
        if gaps:
            found.append((min(gaps), paper.name))
    return tuple(name for _, name in sorted(found, key=lambda pair: pair[0]))


def _within(lab: Lab, aim: Lab) -> bool:
    return all(abs(value - target) <= most for value, target, most in zip(lab, aim, TOLERANCE, strict=True))
