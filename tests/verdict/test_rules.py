"""Rules are documented, in order, and a better figure never lowers a grade."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.colour.density import density_to_lightness
from tackside.colour.gamut import hull_volume
from tackside.messages.message import Message
from tackside.records import GRADES, Measure
from tackside.records.verdict import RuleOutcome
from tackside.verdict.grade.grading import apply_rules, close_to, worst_grade
from tackside.verdict.grade.rules import BLACK, GAMUT, RULES, Rule
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.offset import NAMES, corners, duller
from tests.verdict.readings import reading, trial

IDS = [rule.id for rule in RULES]


def outcome_of(rule: Rule, value: float, sd: float = 0.0) -> RuleOutcome:
    measures = {rule.measure: Measure(value=value, unit="", sd=sd, method="cyan")}
    return apply_rules(measures, path=True)[0]


@pytest.mark.parametrize("rule", RULES, ids=IDS)
def test_limits_run_from_best_to_worst(rule: Rule) -> None:
    direction = -1 if rule.better == "higher" else 1
    assert [direction * limit for limit in rule.limits] == sorted(direction * limit for limit in rule.limits)


@pytest.mark.parametrize("rule", RULES, ids=IDS)
def test_every_rule_names_its_source_and_speaks_with_its_figure(rule: Rule) -> None:
    source = str(outcome_of(rule, 0.0).source)
    assert re.search(
        r"several secondary sources agree|ISO 12647-2|open characterisation data|common practice", source
    )
    assert "memory" not in source
    # Where grades begin is a decision, whatever the figures beside it: each rule says whose.
    assert "this project's own" in source
    for value in (*rule.limits, 2 * rule.limits[2] + 1, 0.0):
        said = str(outcome_of(rule, value).sentence)
        assert said.endswith(".")
        assert "{" not in said
        assert rule.id == "tone-order" or re.search(r"\d", said)


@pytest.mark.parametrize("rule", RULES, ids=IDS)
@given(value=st.floats(0, 1e6), gain=st.floats(0, 1e6))
def test_a_better_figure_is_never_graded_lower(rule: Rule, value: float, gain: float) -> None:
    better = value + gain if rule.better == "higher" else max(0.0, value - gain)
    assert GRADES.index(rule.allows(better)) <= GRADES.index(rule.allows(value))


@settings(max_examples=30, deadline=None)
@given(black=st.floats(3, 45), deeper=st.floats(0, 20), chroma=st.floats(0.2, 1.0))
def test_a_deeper_black_never_lowers_the_prints_grade(black: float, deeper: float, chroma: float) -> None:
    grades = [
        GRADES.index(judge(KnownPrint(reading(black=L, chroma=chroma), trial=trial())).grade)
        for L in (black, max(1.0, black - deeper))
    ]
    assert grades[1] <= grades[0]


@pytest.mark.parametrize(
    ("class_", "dmax", "grades"),
    [
        # docs/sources.md, S26 and S27: the ends of each class by Dmax.
        ("gloss", (2.0, 2.4), {"sell"}),
        ("pearl", (1.55, 1.85), {"sell"}),
        ("matt, cotton", (1.6, 1.7), {"sell"}),
        ("no inkjet coating", (1.0, 1.3), {"draft", "reject"}),
    ],
)
def test_the_classes_of_card_grade_as_they_should(
    class_: str, dmax: tuple[float, float], grades: set[str]
) -> None:
    for density in np.linspace(*dmax, 7):
        assert BLACK.allows(float(density_to_lightness(density))) in grades, class_


def test_offset_blacks_grade_by_their_paper() -> None:
    # Black of the open data (docs/sources.md, S28): L* 16.0 and 18.1 on coated, 31.9 on uncoated paper.
    assert [BLACK.allows(corners(name)[1, 0]) for name in NAMES] == ["sell", "sell", "draft"]


def test_offset_solids_grade_by_their_paper() -> None:
    # Paper, black and solids of the open data, and their volumes (docs/sources.md, S28).
    volumes = [hull_volume(corners(name)) for name in NAMES]
    assert volumes == pytest.approx([353e3, 305e3, 171e3], rel=0.01)
    assert [GAMUT.allows(volume) for volume in volumes] == ["sell", "sell", "draft"]


def test_solids_a_little_duller_keep_their_grade() -> None:
    # Each solid 5 ΔE*ab nearer to the grey axis: our own choice (docs/sources.md, S37).
    for name, grade in (("FOGRA39L", "sell"), ("FOGRA29L", "draft")):
        assert GAMUT.allows(hull_volume(duller(name, 5))) == grade


def test_the_worst_critical_rule_decides_and_an_advisory_one_does_not() -> None:
    sound = {"black_l": Measure(value=16, unit="L*"), "l_range": Measure(value=79, unit="L*")}
    assert worst_grade(apply_rules(sound, path=False)) == "sell"
    weak = {**sound, "black_l": Measure(value=28, unit="L*")}
    assert worst_grade(apply_rules(weak, path=False)) == "draft"
    off_size = {**sound, "size_error": Measure(value=2.4, unit="%")}
    outcomes = apply_rules(off_size, path=False)
    assert worst_grade(outcomes) == "sell"
    assert outcomes[-1].sentence.code == "rule.true-size.too-large"
    assert outcomes[-1].sentence.value("value") == 2.4


def test_a_close_call_is_said_only_where_it_could_change_the_grade() -> None:
    near = {
        "black_l": Measure(value=19.5, unit="L*", sd=0.5),
        "l_range": Measure(value=75, unit="L*", sd=0.7),
    }
    assert apply_rules(near, path=False)[0].close_call == Message(
        "rule.black.close-call", rule="black", sd=0.5, others=[Message("verdict.grade.send")]
    )
    flat = {**near, "l_range": Measure(value=50, unit="L*", sd=0.7)}  # rejected whatever black is
    assert apply_rules(flat, path=False)[0].close_call is None
    # 20.5 alone would make it a close call for sell, but the range allows no better than send.
    held = {
        "black_l": Measure(value=20.5, unit="L*", sd=0.5),
        "l_range": Measure(value=62, unit="L*", sd=0.1),
    }
    assert apply_rules(held, path=False)[0].close_call is None


def test_path_rules_leave_bare_device_numbers_alone() -> None:
    cast = {
        "grey_balance_mean": Measure(value=9, unit="ΔCh"),
        "shadow_opens_at": Measure(value=0.3, unit="device"),
    }
    assert apply_rules(cast, path=False) == ()
    assert worst_grade(apply_rules(cast, path=True)) == "reject"


@pytest.mark.parametrize(
    ("value", "sd", "others"),
    [
        (19.5, 0.5, ("send",)),
        (20.5, 0.5, ("sell",)),
        (18.0, 0.5, ()),
        (16.0, 3.0, ("send",)),
        (22.5, 3.0, ("sell", "draft")),
    ],
)
def test_a_close_call_is_said(value: float, sd: float, others: tuple[str, ...]) -> None:
    assert close_to(BLACK, value, sd) == others
    close = outcome_of(BLACK, value, sd).close_call
    assert (close is not None) == bool(others)
    named = [Message(f"verdict.grade.{grade}") for grade in others]
    assert close is None or close.value("others") == tuple(named)
