"""A verdict in three lines: what the print is good for, why, and the one thing to do next; then a little evidence.

They are made of what a verdict holds, so that one kept long ago has them as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tackside.messages.message import Message
from tackside.records.trial import Trial
from tackside.records.verdict import GRADES, Cause, Door, Evidence, NextStep, RuleOutcome, ThreeLines, Verdict
from tackside.verdict.causes.next_step import MENDS, mended_with, mends_in_words
from tackside.verdict.explain.words import SURE_ENOUGH, cause_named, chance_of
from tackside.verdict.grade.rules import MANAGEMENT

# From this chance on a cause is mended, and not looked into further.
_SETTLED = 0.9
# Below this chance it is not said that the way is sound and what the card holds (this project's own).
_PLAINLY_SOUND = 0.6
_WORTH_NAMING = 0.15
_BARE: tuple[Cause, ...] = ("stock", "side")
# How many lines of each kind are shown, and how much likelier (log10) evidence makes a cause that is worth a line.
_SEEN, _SPEAKING, _SPEAKS = 3, 2, 0.3
# No reading makes a cause quite certain.
SUREST = 0.99
# The rule that shows a cause by itself.
_SHOWN_BY: Mapping[Cause, str] = {"scaling": "true-size", "missing-ink": "hues"}
# Figures that speak for a cause and that no rule tells.
_TELLING = frozenset({"middle-grey-lightness", "solids-chroma", "line-growth", "doubled-edges"})
_RIGHT = ("black", "gamut", "greys", "shadows")
# What is told of a print even where it is right.
_ALWAYS = ("black", "gamut", "greys")

_DOORS: Mapping[str, Door] = {
    "other-side": "other-side",
    "known-card": "another-card",
    "another-card": "another-card",
    "another-card-beside-drafts": "another-card",
    "device-sheet": "device-sheet",
    "make-card": "make-card",
    "make-card-for-friends": "make-card",
    "rescan": "read-again",
    "check-manager": "settings",
    "check-space": "settings",
    **dict.fromkeys(
        (
            "manage-once",
            "manage-off",
            "keep-space",
            "more-ink",
            "less-ink",
            "true-size",
            "nozzle-check",
            "head-alignment",
            "compensation",
        ),
        "sheet",
    ),
}


def head_of(verdict: Verdict, trial: Trial | None = None) -> ThreeLines:
    """The verdict's three lines. ``trial``: whose print it is, None for a bare file."""
    bare = trial is not None and trial.sheet.purpose == "device"
    does = _next(verdict, bare=bare)
    return ThreeLines(
        good_for=_good_for(verdict),
        why=_why(verdict),
        then=_then(does, verdict, bare=bare),
        does=does,
        door=_DOORS.get(does),
        seen=tuple(_seen(verdict)),
        steps=tuple(step for step in verdict.next_steps if _named(step, verdict) != does),
    )


def _good_for(verdict: Verdict) -> Message:
    good_for = Message(f"verdict.for.{verdict.grade}")
    if not verdict.estimate:
        return good_for
    if not verdict.rules:
        return Message("verdict.estimate-by-eye", good_for=good_for)
    by_phone = any(notice.code == "verdict.from-a-photo" for notice in verdict.notices)
    if by_phone and verdict.close_to:
        others = [Message(f"verdict.grade.{grade}") for grade in verdict.close_to]
        return Message("verdict.estimate-from-a-photo-close", good_for=good_for, others=others)
    return Message(f"verdict.estimate-from-a-{'photo' if by_phone else 'scan'}", good_for=good_for)


def _why(verdict: Verdict) -> Message:
    held = _held(verdict)
    chance = min(chance_of(verdict.cause, verdict.causes), SUREST)
    if verdict.cause == "none":
        return _why_sound(verdict, held, chance)
    said, second = [_cause(verdict, chance)], _with_it(verdict)
    if second is not None:  # that is enough to be said in a line
        cause, chance = second
        code = "verdict.why.together" if chance >= SURE_ENOUGH else "verdict.why.perhaps-together"
        said.append(Message(code, second=cause_named(cause), chance=min(chance, SUREST)))
    elif verdict.grade == "sell":
        said.insert(0, Message("verdict.why.good-and-yet"))
    elif held:
        said.insert(0, Message("verdict.why.held", by=held))
    return Message("verdict.why", parts=said)


def _with_it(verdict: Verdict) -> tuple[Cause, float] | None:
    """The fault that is likeliest to be at work together with the likeliest cause, where it is worth naming."""
    alike = _BARE if verdict.cause in _BARE else (verdict.cause,)
    found: dict[Cause, float] = {}
    for pair in verdict.combined:
        mine = [each for each in pair.causes if each in alike]
        for other in (each for each in pair.causes if mine and each not in alike):
            found[other] = found.get(other, 0.0) + pair.probability
    second = max(found, key=lambda cause: found[cause], default=None)
    return None if second is None or found[second] < _WORTH_NAMING else (second, found[second])


def _why_sound(verdict: Verdict, held: list[Message], chance: float) -> Message:
    if verdict.grade == "sell":
        right = [
            Message(f"verdict.right.{one.rule}")
            for one in verdict.rules
            if one.rule in _RIGHT and one.grade == "sell"
        ]
        return Message("verdict.why.no-fault", right=right) if right else Message("verdict.why.nothing-seen")
    by_the_way = _held_by_the_way(verdict)
    if chance < _PLAINLY_SOUND:
        code = "verdict.why.perhaps-sound"
    else:
        code = "verdict.why.way-and-no-fault" if by_the_way else "verdict.why.all-that-the-card-holds"
    said = [Message(code, chance=chance)]
    return Message("verdict.why", parts=[*said, Message("verdict.why.held", by=held)] if held else said)


def _held_by_the_way(verdict: Verdict) -> bool:
    """Whether the card itself would allow a better grade than its print has."""
    return verdict.card is not None and GRADES.index(verdict.card.grade) < GRADES.index(verdict.grade)


def _held(verdict: Verdict) -> list[Message]:
    """What holds the grade down, the two of it that say most."""
    # Of a fault of colour management the cause itself is told.
    worst = [
        one.rule for one in verdict.rules if one.grade == verdict.grade != "sell" and one.rule != MANAGEMENT
    ]
    if "black" in worst and "range" in worst:
        worst.remove("range")  # the same thing, said of a paper that is white
    return [Message(f"rule.name.{rule}") for rule in worst][:2]


def _cause(verdict: Verdict, chance: float) -> Message:
    causes, first = verdict.causes, verdict.cause
    if first in _BARE and min(causes[one] for one in _BARE) >= _WORTH_NAMING:
        return Message("verdict.why.bare", chance=chance)
    if first != "unknown" and chance >= SURE_ENOUGH:
        return Message(f"verdict.why.{first}", chance=chance)
    rivals = sorted((cause for cause in causes if cause != first), key=lambda cause: -causes[cause])
    named = [first, *(cause for cause in rivals if causes[cause] >= _WORTH_NAMING)][:2]
    weighed = [Message("cause.weighed", cause=cause_named(one), chance=causes[one]) for one in named]
    return Message("verdict.why.open", causes=weighed)


def _next(verdict: Verdict, *, bare: bool) -> str:
    """The one thing to do, by its name under ``step.do``: what settles or mends most."""
    first, chance = verdict.cause, chance_of(verdict.cause, verdict.causes)
    if verdict.grade == "sell" and (first in ("none", "unknown") or chance < SURE_ENOUGH):
        return "make-card"
    contradiction = _contradiction(verdict)
    if contradiction is not None:
        return "check-space" if contradiction.code == "verdict.contradicts.space" else "check-manager"
    if verdict.causes[first] >= _SETTLED or not verdict.next_steps:
        return _cure(verdict, bare=bare)
    return _named(verdict.next_steps[0], verdict)


def _cure(verdict: Verdict, *, bare: bool) -> str:
    """What mends the likeliest cause, or makes the best of it."""
    first = verdict.cause
    if first == "none":
        return _best_of(verdict)
    if first == "stock":
        return "another-card-beside-drafts" if verdict.grade != "reject" else "another-card"
    if first == "side":
        return "other-side"
    if first == "missing-ink":
        return "nozzle-check"
    if first == "alignment":
        return "head-alignment"
    if first == "unknown":
        return "known-card"
    mend = MENDS[first]
    return "manage-off" if bare and mend in ("manage-once", "keep-space") else mend


def _best_of(verdict: Verdict) -> str:
    if _held_by_the_way(verdict):
        closed = any(
            one.rule == "shadows" and one.sentence.code == "rule.shadows.uncompensated"
            for one in verdict.rules
        )
        return "compensation" if closed else "device-sheet"
    if verdict.grade == "send":
        return "make-card-for-friends"
    return "another-card-beside-drafts" if verdict.grade == "draft" else "another-card"


def _named(step: NextStep, verdict: Verdict) -> str:
    if step.step != "media-setting":
        return step.step
    little, much = (verdict.causes[one] for one in ("too-little-ink", "too-much-ink"))
    return "more-ink" if little >= much else "less-ink"


def _then(does: str, verdict: Verdict, *, bare: bool) -> Message:
    """What to do, with what else the print that it begins is to see to."""
    contradiction = _contradiction(verdict)
    if does in ("check-manager", "check-space") and contradiction is not None:
        noted = contradiction.value("noted") or Message("verdict.managed-by.nobody")
        return Message(f"step.do.{does}", noted=noted)
    do = Message(f"step.do.{does}")
    if _DOORS.get(does) not in ("sheet", "other-side", "another-card"):
        return do
    step = {"more-ink": "media-setting", "less-ink": "media-setting"}.get(does, does)
    if does in ("nozzle-check", "head-alignment"):  # done before the sheet is printed again
        step = "sheet"
    together = {one.causes: one.probability for one in verdict.combined}
    mends = mended_with(step, together, bare=bare)
    return Message("step.do-with", do=do, mends=mends_in_words(mends)) if mends else do


def _contradiction(verdict: Verdict) -> Message | None:
    """What was noted of the print that the print contradicts."""
    return next((one for one in verdict.notices if one.code.startswith("verdict.contradicts.")), None)


def _seen(verdict: Verdict) -> Iterator[tuple[str, Message]]:
    """What shows the cause or holds the grade down, what else speaks for the cause, then what is told in any case."""
    own = _SHOWN_BY.get(verdict.cause)
    ranked = sorted(verdict.rules, key=lambda one: (one.rule != own, -GRADES.index(one.grade)))
    figures = [(one, said) for one in ranked if (said := _of_rule(one)) is not None]
    at_issue = [(one.rule, said) for one, said in figures if one.rule == own or one.grade != "sell"]
    alike = _BARE if verdict.cause in _BARE else (verdict.cause,)
    speaking = dict.fromkeys(
        said
        for one in verdict.evidence
        if one.weight >= _SPEAKS and one.cause in alike and verdict.cause != "none"
        if (said := _speaks(one)) is not None
    )
    found = [*at_issue[:_SEEN], *(("", said) for said in [*speaking][:_SPEAKING])]
    told = {rule for rule, _ in found}
    yield from found
    rest = [(one.rule, said) for one, said in figures if one.rule in _ALWAYS and one.rule not in told]
    yield from rest[: max(_SEEN - len(found), 0)]


def _speaks(one: Evidence) -> Message | None:
    """What speaks for the cause, in a few words; None where a rule tells the same figure, or it says little alone."""
    says = one.figure.value("says")
    if isinstance(says, Message):
        return says  # an answer by eye
    name = one.figure.code.rpartition(".")[2]
    if name not in _TELLING:
        return None
    value, expected, sd = (one.sentence.value(key) for key in ("value", "expected", "sd"))
    if not (isinstance(value, float) and isinstance(expected, float) and isinstance(sd, float)):
        return None  # kept as a sentence
    if abs(value - expected) > sd:
        return None  # only less unlike it than other causes: that needs the whole sentence
    return Message(f"verdict.seen.{name}", value=value, expected=expected)


def _of_rule(rule: RuleOutcome) -> Message | None:
    """The rule's figure beside what is asked; None where it has none of its own."""
    value, limit = rule.sentence.value("value"), rule.sentence.value("limit")
    if not isinstance(value, (int, float)) or not isinstance(limit, (int, float)) or rule.rule == "range":
        return None
    if rule.rule == "gamut":
        return Message("verdict.seen.gamut", share=value / limit)
    if rule.rule == "true-size":
        code = rule.sentence.code.rpartition(".")[2]
        return Message(f"verdict.seen.size-{code}", value=value)
    if rule.rule == "tone-order":
        return Message("verdict.seen.tone-order", value=value) if value else None
    what = {"what": rule.sentence.value("what")} if rule.rule == "hues" else {}
    return Message(f"verdict.seen.{rule.rule}", value=value, limit=limit, **what)
