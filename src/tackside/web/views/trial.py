"""A verdict as its page shows it: the grade, the reasons with what they rest on, causes, figures."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.records import GRADES, Attribute, Measure, Reading, Verdict
from tackside.report.figures import figure
from tackside.report.words import MAIN_MEASURES, MEASURE_SAYS, measure_label
from tackside.verdict.explain.answers import answers_in_words
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.views.evidence import FIGURES, PAPER, RULES

LEAST_CHANCE = 0.02


@dataclass(frozen=True)
class Reason:
    """One sentence. ``key`` names its evidence, "" where there is no single one; ``is_bad`` holds the grade down."""

    sentence: str
    key: str
    is_bad: bool
    source: str = ""


@dataclass(frozen=True)
class Figure:
    label: str
    value: str
    plus_minus: str
    unit: str


@dataclass(frozen=True)
class Speaks:
    """What speaks for a cause, or against it; ``key``: as ``Reason``."""

    sentence: str
    key: str
    is_for: bool


@dataclass(frozen=True)
class VerdictView:
    verdict: Verdict
    word: str
    meaning: str
    opening: str
    reasons: tuple[Reason, ...]
    causes: tuple[tuple[str, float], ...]
    evidence: tuple[tuple[str, tuple[Speaks, ...]], ...]
    answered: tuple[str, ...]
    main: tuple[Figure, ...]
    further: tuple[Figure, ...]
    shown: str


def findings_of(
    bench: Bench, trial: str
) -> tuple[Reading | None, Verdict | None, tuple[Reading, ...], tuple[Verdict, ...]]:
    """The newest verdict of a trial with the reading that it judges, and all of both, oldest first."""
    readings, verdicts = bench.readings.list(trial), bench.verdicts.list(trial)
    verdict = verdicts[-1] if verdicts else None
    judged = next((each for each in readings if verdict is not None and each.id == verdict.reading), None)
    newest = readings[-1] if readings else None
    if (
        newest is not None and judged is not None and newest.id != judged.id
    ):  # read again, and not judged since
        return newest, None, readings, verdicts
    return judged or newest, verdict, readings, verdicts


def verdict_view(verdict: Verdict, reading: Reading, shown: str, person: Person) -> VerdictView:
    """Everything that the page says of a verdict."""
    opening, *rest = verdict.reasons or ("",)
    causes = sorted(verdict.causes.items(), key=lambda pair: -pair[1])
    measures = _in_order(verdict.measures)
    further: list[tuple[str, Measure | Attribute]] = [
        *((name, one) for name, one in measures if name not in MAIN_MEASURES),
        *reading.attributes.items(),
    ]
    return VerdictView(
        verdict=verdict,
        word=person.say(words.GRADES[verdict.grade]),
        meaning=person.say(words.GRADE_MEANS[verdict.grade]),
        opening=opening,
        reasons=tuple(_reason(sentence, verdict) for sentence in rest),
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
        speaks = [Speaks(each.sentence, FIGURES.get(each.figure, ""), each.weight > 0) for each in its]
        if speaks:
            found.append((person.say(words.CAUSES.get(cause, cause)), tuple(speaks)))
    return tuple(found)


def _reason(sentence: str, verdict: Verdict) -> Reason:
    for rule in verdict.rules:
        if rule.sentence == sentence:
            return Reason(
                sentence, rule.rule if rule.rule in RULES else "", rule.grade != GRADES[0], rule.source
            )
    return Reason(sentence, PAPER if sentence.startswith("The paper is ") else "", is_bad=False)


def _in_order(measures: dict[str, Measure]) -> list[tuple[str, Measure]]:
    known = list(MEASURE_SAYS)
    return sorted(measures.items(), key=lambda pair: known.index(pair[0]) if pair[0] in known else len(known))


def _figure(name: str, one: Measure | Attribute, person: Person) -> Figure:
    label = measure_label(name)
    if isinstance(one.value, tuple):
        parts = [figure(part, one.sd)[0] for part in one.value]
        value, plus_minus = "  ".join(parts), figure(one.value[0], one.sd)[1]
    else:
        value, plus_minus = figure(one.value, one.sd)
    if person.language == "de":
        value, plus_minus = value.replace(".", ","), plus_minus.replace(".", ",")
    unit = "" if one.unit in ("1", "share", "device", "CIELAB") or one.unit in label else one.unit
    return Figure(label, value, plus_minus, unit)
