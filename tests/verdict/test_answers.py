"""What answers by eye say of the causes."""

from __future__ import annotations

from typing import Any

import pytest

from tackside.reading.eye import answers_from, read_answers
from tackside.verdict import judge
from tackside.verdict.answers import drag_odds
from tests.verdict.readings import trial

SOUND: dict[str, Any] = {
    "creep": "no", "drag_this_side": "yes", "beside_screen": "same", "greys_tint": "none", "light_lines": "none",
    "doubled_lines": "none", "missing_inks": [], "black_beside_good": "same", "colour_beside_good": "same",
    "middle_beside_good": "same", "hues": "right", "ruler_across_mm": [100, 100], "ruler_along_mm": [100, 100],
}  # fmt: skip


def causes(**answered: Any) -> dict[str, float]:
    given = {**SOUND, **answered}
    one = trial()
    return dict(judge(read_answers(answers_from(given), one.sheet, trial=one.id), trial=one).causes)


def test_nothing_out_of_the_way_is_nothing_wrong() -> None:
    assert causes()["none"] > 0.7


@pytest.mark.parametrize(
    ("cause", "answered"),
    [
        ("missing-ink", {"missing_inks": ["m"], "hues": "wrong", "colour_beside_good": "less"}),
        ("alignment", {"doubled_lines": "vertical"}),
        ("scaling", {"ruler_across_mm": [100, 97], "ruler_along_mm": [100, 97]}),
        ("unmanaged", {"greys_tint": "red", "tint_strength": "strong", "middle_beside_good": "darker"}),
        ("managed-twice", {"greys_tint": "cyan", "tint_strength": "strong", "middle_beside_good": "lighter"}),
        (
            "too-little-ink",
            {"black_beside_good": "less", "colour_beside_good": "less", "middle_beside_good": "lighter"},
        ),
    ],
)  # fmt: skip
def test_the_plain_answers_of_a_fault_name_it(cause: str, answered: dict[str, Any]) -> None:
    # TRADE, from symptom to cause.
    found = causes(**answered)
    assert max(found, key=lambda one: found[one]) == cause


def test_a_pale_furred_print_where_no_finger_drags_is_the_cards_fault() -> None:
    found = causes(
        black_beside_good="much-less", colour_beside_good="less", creep="much", drag_this_side="no"
    )
    assert found["stock"] + found["side"] > 0.8


def test_a_drag_on_the_other_side_tells_the_side_from_the_stock() -> None:
    pale = {"black_beside_good": "much-less", "creep": "much", "drag_this_side": "no"}
    drags, glides = (causes(**pale, drag_other_side=word) for word in ("yes", "no"))
    assert drags["side"] > drags["stock"]
    assert glides["stock"] > glides["side"]
    assert drag_odds(None) == 0.0


def test_a_wrong_hue_alone_raises_the_unknown_and_makes_nothing_certain() -> None:
    assert causes(hues="wrong")["unknown"] > 5 * causes()["unknown"]
