"""A grade near a limit is called close to the grades that its own doubt reaches."""

from __future__ import annotations

import pytest

from tackside.records import Reading
from tackside.records.verdict import GRADES
from tackside.verdict.explain.head import head_of
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.readings import reading


def photo(de00: float, added: float | None, **look: float) -> Reading:
    """A photograph's reading beside a known print."""
    one = reading(de00=de00, **look)
    trust = one.uncertainty.model_copy(
        update={"added_de00": added, "comparable_with": "photo | colorimetric"}
    )
    return one.model_copy(update={"kind": "photo", "uncertainty": trust, "beside": "2B4C6D8E"})


@pytest.mark.parametrize("black", [12.0, 19.0, 21.5, 24.0, 26.0, 33.0])
def test_a_grade_is_never_close_to_itself_and_closer_the_greater_the_doubt(black: float) -> None:
    near = [judge(KnownPrint(reading(de00=de00, black=black))) for de00 in (0.02, 1.0, 3.0)]
    for one in near:
        assert one.grade not in one.close_to
        assert list(one.close_to) == sorted(one.close_to, key=GRADES.index)
    reached = [{one.grade, *one.close_to} for one in near]
    assert reached[0] <= reached[1] <= reached[2]


def test_a_black_just_past_its_limit_is_a_close_call_and_one_far_past_it_is_none() -> None:
    """The limit of ``sell`` is L* 20; S_L there is 1.45, so that 1 ΔE00 is 0.84 L* of standard uncertainty."""
    assert judge(KnownPrint(reading(de00=1.0, black=21.0))).close_to == ("sell",)
    assert judge(KnownPrint(reading(de00=1.0, black=22.5))).close_to == ()


def test_of_a_photograph_only_what_it_adds_makes_a_call_close() -> None:
    """The doubt of the known print's own reading is that of both grades."""
    whole = judge(KnownPrint(photo(3.0, None, black=22.5)))
    alone = judge(KnownPrint(photo(3.0, 0.5, black=22.5)))
    assert "sell" in whole.close_to
    assert alone.close_to == ()
    assert alone.grade == whole.grade == "send"
    assert alone.measures["black_l"].sd == whole.measures["black_l"].sd


def test_a_photograph_s_first_line_names_what_else_it_could_be() -> None:
    close = head_of(judge(KnownPrint(photo(1.0, 0.8, black=20.5)))).good_for
    sure = head_of(judge(KnownPrint(photo(1.0, 0.1, black=22.5)))).good_for
    assert close.code == "verdict.estimate-from-a-photo-close"
    assert [each.code for each in close.values["others"]] == ["verdict.grade.sell"]
    assert sure.code == "verdict.estimate-from-a-photo"
