"""A verdict as its page shows it: three lines and a little evidence; then all reasons, causes and figures."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.records import GRADES, Attribute, Measure, Reading, Trial, Verdict
from tackside.records.verdict import ThreeLines
from tackside.report.figures import figure
from tackside.report.labels import MAIN_MEASURES, MEASURES, UNIT_IN_LABEL, measure_label
from tackside.verdict.explain.answers import answers_in_words
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.views.evidence import FIGURES, RULES, key_of_reason
from tackside.web.views.next_step import Button, button_for, practice_button
from tackside.workflow.judge import three_lines
from tackside.workflow.standing.history import TrialHistory

LEAST_CHANCE = 0.02


@dataclass(frozen=True)
class Reason:
    """One reason. ``key`` names its evidence, "" where there is no single one; ``is_bad`` holds the grade down."""

    sentence: Message
    key: str
    is_bad: bool
    source: Message | None = None


@dataclass(frozen=True)
class FigureView:
    label: str
    value: str
    plus_minus: str
    unit: str


@dataclass(frozen=True)
class Speaks:
    """What speaks for a cause, or against it; ``key``: as ``Reason``."""

    sentence: Message
    key: str
    is_for: bool


@dataclass(frozen=True)
class VerdictView:
    """``seen``: the evidence beside the three lines of ``head``; ``steps``: what else would tell."""

    verdict: Verdict
    word: str
    head: ThreeLines
    button: Button | None
    seen: tuple[Reason, ...]
    steps: tuple[Message, ...]
    apart: tuple[Message, ...]
    reasons: tuple[Reason, ...]
    causes: tuple[tuple[str, float], ...]
    evidence: tuple[tuple[str, tuple[Speaks, ...]], ...]
    answered: tuple[Message, ...]
    main: tuple[FigureView, ...]
    further: tuple[FigureView, ...]
    shown: str


def findings_of(told: TrialHistory) -> tuple[Reading | None, Verdict | None]:
    """The verdict of a trial that stands with the reading that it judges."""
    standing, verdict = told.standing, told.stands
    judged = next(
        (
            each.reading
            for each in told.readings
            if each.withdrawal is None and verdict is not None and each.reading.id == verdict.reading
        ),
        None,
    )
    if (
        standing is not None and judged is not None and standing.id != judged.id
    ):  # read again, and not judged since
        return standing, None
    return judged or standing, verdict


def verdict_view(verdict: Verdict, reading: Reading, trial: Trial, shown: str, person: Person) -> VerdictView:
    """Everything that the page says of a verdict."""
    head = three_lines(verdict, trial)
    causes = sorted(verdict.causes.items(), key=lambda pair: -pair[1])
    measures = _in_order(verdict.measures)
    further: list[tuple[str, Measure | Attribute]] = [
        *((name, one) for name, one in measures if name not in MAIN_MEASURES),
        *reading.attributes.items(),
    ]
    return VerdictView(
        verdict=verdict,
        word=person.say(words.GRADES[verdict.grade]),
        head=head,
        button=practice_button(trial, person) if trial.practice else button_for(head.door, trial, person),
        seen=tuple(_seen(rule, said, verdict) for rule, said in head.seen),
        steps=tuple(step.sentence for step in head.steps),
        apart=tuple(part.sentence for part in (verdict.card, verdict.path) if part is not None),
        reasons=tuple(
            _reason(each, verdict)
            for each in verdict.reasons[1:]  # the first is the grade
            if each.code != "step.next"  # kept when next steps were a reason
        ),
        causes=tuple(
            (person.say(words.CAUSES.get(cause, cause)), chance)
            for cause, chance in causes
            if chance >= LEAST_CHANCE
        ),
        evidence=_evidence(verdict, person),
        answered=answers_in_words(reading) if reading.kind == "eye" else (),
        main=tuple(_figure(name, one, person) for name, one in measures if name in MAIN_MEASURES),
        further=tuple(_figure(name, one, person) for name, one in further),
        shown=shown if shown in RULES else "",
    )


def _evidence(verdict: Verdict, person: Person) -> tuple[tuple[str, tuple[Speaks, ...]], ...]:
    """By cause, the likeliest first: what speaks for it, then against it, the weightiest first."""
    found = []
    for cause in sorted(verdict.causes, key=lambda each: -verdict.causes[each]):
        its = sorted(
            (each for each in verdict.evidence if each.cause == cause), key=lambda each: -each.weight
        )
        speaks = [Speaks(each.sentence, FIGURES.get(each.figure.code, ""), each.weight > 0) for each in its]
        if speaks:
            found.append((person.say(words.CAUSES.get(cause, cause)), tuple(speaks)))
    return tuple(found)


def _seen(rule: str, said: Message, verdict: Verdict) -> Reason:
    grade = next((each.grade for each in verdict.rules if each.rule == rule), GRADES[0])
    key = rule or FIGURES.get(said.code.replace("verdict.seen.", "evidence.figure."), "")
    return Reason(said, key if key in RULES else "", grade != GRADES[0])


def _reason(said: Message, verdict: Verdict) -> Reason:
    rule = next((each for each in verdict.rules if each.rule == said.value("rule")), None)
    if rule is None:
        return Reason(said, key_of_reason(said), is_bad=False)
    return Reason(said, key_of_reason(said), rule.grade != GRADES[0], rule.source)


def _in_order(measures: dict[str, Measure]) -> list[tuple[str, Measure]]:
    known = list(MEASURES)
    return sorted(measures.items(), key=lambda pair: known.index(pair[0]) if pair[0] in known else len(known))


def _figure(name: str, one: Measure | Attribute, person: Person) -> FigureView:
    label = person.tell(measure_label(name))
    if isinstance(one.value, tuple):
        parts = [figure(part, one.sd)[0] for part in one.value]
        value, plus_minus = "  ".join(parts), figure(one.value[0], one.sd)[1]
    else:
        value, plus_minus = figure(one.value, one.sd)
    unit = "" if name in UNIT_IN_LABEL else _unit(one, person)
    return FigureView(label, person.pointed(value), person.pointed(plus_minus), unit)


def _unit(one: Measure | Attribute, person: Person) -> str:
    if isinstance(one, Measure) and one.of is not None:
        return person.tell(Message("measure.of-steps", count=one.of))
    if one.unit == "answer":
        return person.tell(Message("measure.answer"))
    return "" if one.unit in ("1", "share", "device", "CIELAB") else one.unit
