"""A print's grade taken apart: what the card can hold, and what the path makes of it.

The grade of a print is the worse of the two. A device sheet, or characterisation data, measures the card; from a path
sheet its gamut is inferred: the hull of what the path shows, times how the two compare on gamuts that are known
(``limits.SHOWN``; docs/sources.md, S101).
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tackside.messages.message import Message
from tackside.records.verdict import GRADES, CardHolds, Cause, Grade, Measure, PathMakes, RuleOutcome
from tackside.verdict.grade.limits import COVERAGE, FINER, SHOWN, way_of
from tackside.verdict.grade.printed import Printed
from tackside.verdict.grade.rules import GAMUT, OF_THE_CARD, OF_THE_PATH
from tackside.verdict.measures.all import number, spread

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


def _worst(outcomes: list[RuleOutcome]) -> Grade:
    return max((one.grade for one in outcomes), key=GRADES.index, default="sell")


def _card(
    printed: Printed, measures: dict[str, Measure], outcomes: list[RuleOutcome], lost_on_the_way: bool
) -> CardHolds | None:
    black = measures.get("black_l")
    if black is None or isinstance(black.value, tuple) or not outcomes:
        return None
    grade, gamut = _worst(outcomes), gamut_of_the_card(printed, measures)
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
    grade = _worst(outcomes)
    said = {"good_for": Message(f"verdict.good-for.{grade}")}
    if grade == "sell":
        right = [Message(f"rule.about.{one.rule}") for one in outcomes]
        return PathMakes(grade=grade, sentence=Message("verdict.path.sound", **said, right=right))
    held_by = [Message(f"rule.name.{one.rule}") for one in outcomes if one.grade == grade]
    return PathMakes(grade=grade, sentence=Message("verdict.path.held-down", **said, by=held_by))
