"""The side finder and the next step."""

from __future__ import annotations

import pytest

from tackside.bench.records import Cause
from tackside.verdict.next_step import next_steps
from tackside.verdict.sides import find_side
from tackside.verdict.symptoms import PRIORS
from tests.verdict.readings import reading

DEEP, PALE = reading(black=15.0), reading(black=31.0, chroma=0.5)


def test_the_side_with_the_deep_black_takes_ink() -> None:
    assert find_side(DEEP, PALE).printable == "front"
    assert find_side(PALE, DEEP).printable == "back"
    assert find_side(DEEP, DEEP).printable == "both"
    assert find_side(PALE, PALE).printable == "neither"
    assert find_side(DEEP, PALE).sure


def test_the_finger_alone_tells_but_an_unsure_one_does_not() -> None:
    # A damp fingertip drags on an inkjet coating and not on bare card (TRADE).
    told = find_side(drag_front="no", drag_back="yes")
    assert told.printable == "back"
    nothing = find_side(drag_front="unsure", drag_back="unsure")
    assert not nothing.sure
    assert sum(nothing.probabilities.values()) == pytest.approx(1)


def test_a_finger_that_contradicts_the_prints_is_told() -> None:
    assert any("contradict" in reason for reason in find_side(PALE, DEEP, drag_front="yes").reasons)


def test_side_against_stock_is_settled_by_the_other_side() -> None:
    # TRADE: the other side raises Dmax sharply.
    open_question: dict[Cause, float] = dict.fromkeys(PRIORS, 0.0) | {"side": 0.5, "stock": 0.5}
    first = next_steps(open_question)[0]
    assert (first.step, first.sheets) == ("other-side", 1.0)
    assert first.gain_bits == pytest.approx(0.78, abs=0.08)


def test_no_step_is_named_where_nothing_is_open() -> None:
    settled: dict[Cause, float] = dict.fromkeys(PRIORS, 0.0) | {"scaling": 1.0}
    assert next_steps(settled) == ()
