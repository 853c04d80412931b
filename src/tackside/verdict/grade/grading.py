"""The rules applied: what each allows, in a sentence with its figure, and the grade that is left."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import NormalDist

from tackside.records.verdict import GRADES, Grade, Measure, RuleOutcome
from tackside.verdict.grade.rules import RULES, Rule
from tackside.verdict.measures.all import number, spread

# A call is close when there is one chance in twenty, or more, that the true value lies beyond a limit.
_CLOSE = NormalDist().inv_cdf(0.95)


def apply_rules(measures: dict[str, Measure], *, path: bool) -> tuple[RuleOutcome, ...]:
    """What each rule says of these measures, in the order of RULES.

    ``path``: the print is of a sheet that went the whole way from file to paper. An advisory rule allows
    ``sell`` whatever it says. A close call is said only where it could change the grade of the print.
    """
    spoken = [
        (rule, value)
        for rule in RULES
        if (path or not rule.path_only) and (value := number(measures, rule.measure)) is not None
    ]
    outcomes = []
    for rule, value in spoken:
        rest = [other.allows(its) for other, its in spoken if other is not rule and other.critical]
        sd = spread(measures, rule.measure)
        said = [_sentence(rule, value, measures), *_close_call(rule, value, sd, _worst(rest))]
        allowed = rule.allows(value) if rule.critical else "sell"
        outcomes.append(RuleOutcome(rule=rule.id, grade=allowed, sentence=" ".join(said), source=rule.source))
    return tuple(outcomes)


def worst_grade(outcomes: tuple[RuleOutcome, ...]) -> Grade:
    """The worst grade that any rule allows; ``reject`` where no rule could speak."""
    return max((outcome.grade for outcome in outcomes), key=GRADES.index, default="reject")


def close_to(rule: Rule, value: float, sd: float) -> tuple[Grade, ...]:
    """The other grades that the figure may well deserve, given its standard uncertainty; best first."""
    reach = {rule.allows(value + sign * _CLOSE * sd) for sign in (-1, 1)} - {rule.allows(value)}
    return tuple(sorted(reach, key=GRADES.index))


def _worst(grades: Iterable[Grade]) -> Grade:
    return max(grades, key=GRADES.index, default="sell")


def _sentence(rule: Rule, value: float, measures: dict[str, Measure]) -> str:
    grade = rule.allows(value)
    shown = abs(value) if rule.better == "nearer-zero" else value
    template = rule.met if grade == "sell" else rule.missed
    said = template.format(
        value=f"{shown / rule.divisor:.{rule.digits}f}",
        percent=f"{100 * shown:.0f}",
        sense="large" if value > 0 else "small",
        what=measures[rule.measure].method or "",
    )
    return f"{said} {rule.effect[grade]}" if grade in rule.effect else said


def _close_call(rule: Rule, value: float, sd: float, rest: Grade) -> list[str]:
    """A sentence where the figure's uncertainty could change the print's grade; ``rest``: what others allow."""
    if not rule.critical or rule.counts:
        return []
    here = _worst((rule.allows(value), rest))
    others = {_worst((other, rest)) for other in close_to(rule, value, sd)} - {here}
    if not others:
        return []
    figure = f"{sd / rule.divisor:.{max(rule.digits, 1)}f}"
    return [
        f"A close call: at ± {figure} the grade may as well be {' or '.join(sorted(others, key=GRADES.index))}."
    ]
