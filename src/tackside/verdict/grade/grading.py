"""The rules applied: what each allows and says, with its figure, the grade that is left, and that grade taken apart.

The grade of a print is the worse of what the card can hold and what the path makes of it. A device sheet, or
characterisation data, measures the card; from a path sheet its gamut is inferred: the hull of what the path shows,
times how the two compare on gamuts that are known (``limits.SHOWN``; docs/sources.md, S101).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from tackside.messages.message import Message
from tackside.records import Reading
from tackside.records.verdict import GRADES, CardHolds, Cause, Grade, Measure, PathMakes, RuleOutcome
from tackside.verdict.grade.limits import COVERAGE, FINER, SHOWN, way_of
from tackside.verdict.grade.rules import GAMUT, MANAGEMENT, OF_THE_CARD, OF_THE_PATH, Rule, rules_for
from tackside.verdict.known_print import Printed
from tackside.verdict.measures.measure import number, spread


def apply_rules(measures: dict[str, Measure], printed: Printed) -> tuple[RuleOutcome, ...]:
    """What each rule says of these measures of a print, in the order of RULES.

    An advisory rule allows ``sell`` whatever it says. A close call is said only where it could change the grade of
    the print.
    """
    spoken = [
        (rule, value)
        for rule in rules_for(printed, measures)
        if (value := number(measures, rule.measure)) is not None
    ]
    outcomes = []
    for rule, value in spoken:
        rest = [other.allows(its) for other, its in spoken if other is not rule and other.critical]
        outcomes.append(
            RuleOutcome(
                rule=rule.id,
                grade=rule.allows(value) if rule.critical else "sell",
                sentence=_sentence(rule, value, measures),
                close_call=_close_call(rule, value, spread(measures, rule.measure), _worst(rest)),
                source=Message(rule.source or f"rule.{rule.id}.source"),
            )
        )
    return tuple(outcomes)


# Faults of colour management, and the chance from which on one of them costs a grade (this project's own).
_MISMANAGED: tuple[Cause, ...] = ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")
_LIKELY = 0.5


def mismanaged(printed: Printed, causes: Mapping[Cause, float], likeliest: Cause) -> bool:
    """Whether colours of a path sheet likely went another way than the file asks.

    Then no print is fit to sell, however much of the card's gamut it shows. A misread space only mutes or heightens
    colours, as some good paths do.
    """
    chance = sum(causes[cause] for cause in _MISMANAGED)
    return printed.path and likeliest in _MISMANAGED and chance >= _LIKELY


def management_outcome(
    printed: Printed, causes: Mapping[Cause, float], likeliest: Cause
) -> tuple[RuleOutcome, ...]:
    """What a likely fault of colour management allows, where there is one."""
    if not mismanaged(printed, causes, likeliest):
        return ()
    chance = sum(causes[cause] for cause in _MISMANAGED)
    sentence = Message(
        "rule.colour-management.missed", rule=MANAGEMENT, cause=Message(f"cause.{likeliest}"), chance=chance
    )
    return (
        RuleOutcome(
            rule=MANAGEMENT,
            grade="send",
            sentence=sentence,
            close_call=None,
            source=Message("rule.colour-management.source"),
        ),
    )


# Up to this chance of bare card all colours together show a coating (this project's own).
_SURELY_COATED = 0.02


def light_strays_over(reading: Reading, causes: Mapping[Cause, float], likeliest: Cause) -> bool:
    """Whether stray light hides how deep a print's black is: one read by a scanner that nobody corrected, nothing wrong
    with it, and no card without a coating by its colours, lines and solids.
    """
    bare = causes["stock"] + causes["side"]
    return reading.by_plain_scanner and likeliest == "none" and bare <= _SURELY_COATED


def worst_grade(outcomes: tuple[RuleOutcome, ...]) -> Grade:
    """The worst grade that any rule allows; ``reject`` where no rule could speak."""
    return max((outcome.grade for outcome in outcomes), key=GRADES.index, default="reject")


def close_grades(
    measures: dict[str, Measure], printed: Printed, outcomes: tuple[RuleOutcome, ...]
) -> tuple[Grade, ...]:
    """The other grades that a print could as well have, best first, if all its figures together were off to one side by
    their expanded uncertainties (about 95 %); ``outcomes``: what was said of it, of which those that stand on no such
    figure stay as they are.
    """
    best, worst = list[Grade](), list[Grade]()
    rules = {rule.id: rule for rule in rules_for(printed, measures)}
    for one in outcomes:
        rule = rules.get(one.rule)
        value = None if rule is None else number(measures, rule.measure)
        reached = [one.grade]
        if rule is not None and value is not None and rule.critical and not rule.counts:
            reached += close_to(rule, value, spread(measures, rule.measure))
        best.append(min(reached, key=GRADES.index))
        worst.append(_worst(reached))
    if not best:
        return ()
    here = worst_grade(outcomes)
    within = GRADES[GRADES.index(_worst(best)) : GRADES.index(_worst(worst)) + 1]
    return tuple(grade for grade in within if grade != here)


def close_to(rule: Rule, value: float, sd: float) -> tuple[Grade, ...]:
    """The other grades within the expanded uncertainty of the figure (about 95 %), given one standard one; best first.

    It is the same interval as the message of a close call states.
    """
    worst, best = sorted((rule.allows(value + sign * COVERAGE * sd) for sign in (-1, 1)), key=GRADES.index)[
        ::-1
    ]
    reached = GRADES[GRADES.index(best) : GRADES.index(worst) + 1]
    return tuple(grade for grade in reached if grade != rule.allows(value))


def _worst(grades: Iterable[Grade]) -> Grade:
    return max(grades, key=GRADES.index, default="sell")


def _sentence(rule: Rule, value: float, measures: dict[str, Measure]) -> Message:
    shown = abs(value) if rule.better == "nearer-zero" else value
    said = Message(
        rule.says(value), rule=rule.id, value=shown / rule.divisor, limit=rule.limits[0] / rule.divisor
    )
    # The method of the weakest solid, or hue, is the colour that it is.
    named = measures[rule.measure].method if rule.id == "hues" else None
    return said if named is None else said.with_values(what=Message(f"measure.solid.{named}"))


def _close_call(rule: Rule, value: float, sd: float, rest: Grade) -> Message | None:
    """That the figure's uncertainty could change the print's grade, if so; ``rest``: what others allow."""
    if not rule.critical or rule.counts:
        return None
    here = _worst((rule.allows(value), rest))
    others = {_worst((other, rest)) for other in close_to(rule, value, sd)} - {here}
    if not others:
        return None
    named = [Message(f"verdict.grade.{grade}") for grade in sorted(others, key=GRADES.index)]
    return Message(f"rule.{rule.id}.close-call", rule=rule.id, sd=sd / rule.divisor, others=named)


# Under these the colours that are missing are the path's loss, and say little of the card.
_FAULTS_OF_THE_PATH: frozenset[Cause] = frozenset(
    {"managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide", "missing-ink"}
)
_THOUSAND = 1000.0
THOUSANDS = "thousand ΔE³"


def taken_apart(
    printed: Printed, measures: dict[str, Measure], outcomes: Iterable[RuleOutcome], cause: Cause
) -> tuple[CardHolds | None, PathMakes | None]:
    """What card and path allow, by what the rules said; ``cause`` is the likeliest. None where nothing is known."""
    outcomes = tuple(outcomes)
    lost_on_the_way = printed.path and cause in _FAULTS_OF_THE_PATH
    moved = {GAMUT.id} if lost_on_the_way else set()
    return (
        _card(
            printed, measures, [one for one in outcomes if one.rule in OF_THE_CARD - moved], lost_on_the_way
        ),
        _path([one for one in outcomes if one.rule in OF_THE_PATH | moved]) if printed.path else None,
    )


def gamut_of_the_card(printed: Printed, measures: dict[str, Measure]) -> Measure | None:
    """The hull of paper, black and the six solids that the card holds, in thousands; inferred from a path sheet."""
    if not printed.path:
        corners = measures.get("gamut_corners")
        if corners is None or isinstance(corners.value, tuple):
            return None
        return Measure(
            value=corners.value / _THOUSAND,
            unit=THOUSANDS,
            sd=(corners.sd or 0.0) / _THOUSAND,
            method=corners.method,
        )
    seen = number(measures, "path_gamut")
    if seen is None:
        return None
    shown = SHOWN[printed.space, way_of(printed)]
    value = seen / FINER[min(max(printed.levels, min(FINER)), max(FINER))] * shown.times / _THOUSAND
    sd = value * float(np.hypot(shown.spread, spread(measures, "path_gamut") / seen))
    return Measure(value=value, unit=THOUSANDS, sd=sd, method="inferred from what the path shows")


def _card(
    printed: Printed, measures: dict[str, Measure], outcomes: list[RuleOutcome], lost_on_the_way: bool
) -> CardHolds | None:
    black = measures.get("black_l")
    if black is None or isinstance(black.value, tuple) or not outcomes:
        return None
    grade, gamut = _worst(one.grade for one in outcomes), gamut_of_the_card(printed, measures)
    said = {"good_for": Message(f"verdict.good-for.{grade}"), "black": black.value}
    how = "at-least" if lost_on_the_way else "inferred" if printed.path else "measured"
    if gamut is None or isinstance(gamut.value, tuple):
        sentence = Message("verdict.card.black-alone", **said)
    else:
        within = COVERAGE * (gamut.sd or 0.0)
        sentence = Message(f"verdict.card.{how}", **said, gamut=gamut.value, within=within)
    return CardHolds(grade=grade, black_l=black, gamut=gamut, inferred=printed.path, sentence=sentence)


def _path(outcomes: list[RuleOutcome]) -> PathMakes | None:
    if not outcomes:
        return None
    grade = _worst(one.grade for one in outcomes)
    said = {"good_for": Message(f"verdict.good-for.{grade}")}
    if grade == "sell":
        right = [Message(f"rule.about.{one.rule}") for one in outcomes]
        return PathMakes(grade=grade, sentence=Message("verdict.path.sound", **said, right=right))
    held_by = [Message(f"rule.name.{one.rule}") for one in outcomes if one.grade == grade]
    return PathMakes(grade=grade, sentence=Message("verdict.path.held-down", **said, by=held_by))
