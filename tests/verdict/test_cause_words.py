"""What is said of causes does not contradict itself: where nothing is wrong, no cause is looked for."""

from __future__ import annotations

from typing import get_args

import pytest

from tackside.messages.message import Message
from tackside.records.verdict import Cause, Grade
from tackside.verdict.explain.words import CAUSES, cause_named, cause_reason


def chances(**named: float) -> dict[Cause, float]:
    rest = (1 - sum(named.values())) / (len(CAUSES) - len(named))
    return {cause: named.get(cause.replace("-", "_"), rest) for cause in CAUSES}


@pytest.mark.parametrize("grade", [grade for grade in get_args(Grade) if grade != "sell"])
def test_a_sound_print_of_a_poor_card_is_all_that_the_card_holds(grade: Grade) -> None:
    found = cause_reason(grade, chances(none=0.91))
    assert found == Message("cause.all-that-the-card-holds", chance=0.91)
    assert str(found) == "The way from the file to the card is sound (91 %): this is all that the card holds."


def test_what_else_it_may_be_is_told_beside_it() -> None:
    found = cause_reason("draft", chances(none=0.5, too_much_ink=0.3))
    assert found.code == "cause.likely-sound"
    ink = Message("cause.weighed", cause=cause_named("too-much-ink"), chance=0.3)
    assert found.value("others") == (ink,)
    open_end = cause_reason("draft", chances(none=0.5, unknown=0.3))
    assert open_end.code == "cause.likely-sound"
    # What would tell is a next step, and is said once.
    assert found.value("tests") is None


@pytest.mark.parametrize("grade", get_args(Grade))
@pytest.mark.parametrize("chance", [0.3, 0.5, 0.7, 0.91, 0.99])
@pytest.mark.parametrize("second", [cause for cause in CAUSES if cause != "none"])
def test_nothing_is_wrong_is_never_called_a_cause_that_cannot_be_told(
    grade: Grade, chance: float, second: Cause
) -> None:
    causes = chances(none=chance, **{second.replace("-", "_"): min(0.25, 1 - chance)})
    said = cause_reason(grade, causes)
    assert not said.code.startswith("cause.cannot-be-told")
    assert "nothing is wrong" not in str(said)


def test_a_good_print_has_no_fault() -> None:
    assert cause_reason("sell", chances(none=0.8)) == Message("cause.no-fault", chance=0.8)


def test_other_causes_are_told_as_before() -> None:
    assert cause_reason("draft", chances(unknown=0.9)).code == "cause.cannot-be-told"
    assert cause_reason("draft", chances(unknown=0.5, stock=0.3)).code == "cause.cannot-be-told"
    assert cause_reason("draft", chances(stock=0.9)).code == "cause.likeliest"
