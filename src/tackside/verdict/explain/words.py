"""What the verdict says that belongs to no single rule: grade, paper, shares, causes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, get_args

from tackside.messages.message import Message
from tackside.records.verdict import Cause, Combination, Grade, Measure
from tackside.verdict.causes.weigh import likeliest
from tackside.verdict.measures.all import number, spread
from tackside.verdict.measures.paper import paper_classes, tint_of

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
