"""What is said of a way: each word against its own figure, and no ranking between readings that do not compare."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tackside.messages.message import Message
from tackside.picture.choose.answer import FAR, answer, why
from tackside.picture.choose.choose import RankedWay, score_of
from tackside.picture.proof.advice import IntentVariant, cost_of
from tackside.picture.proof.figures import Figures, compare
from tackside.picture.proof.ways import PrintWay

RELATIVE = IntentVariant("relative", True)
SOUND = Figures(
    de00_mean=1.2, de00_median=1.0, de00_p95=3.0, lightness=-0.4, chroma=-0.6, hue_shift_deg=1.0,
    lost_shadow=0.02, lost_saturated=0.01, grey_balance=0.6, shadow=0.3, saturated=0.2, chroma_saturated=-1.5,
)  # fmt: skip


def ranked(stock: str, figures: Figures) -> RankedWay:
    cost = cost_of(figures)
    way = PrintWay(stock, None, None, RELATIVE, None, True)  # type: ignore[arg-type]  # nothing asks for the card
    return RankedWay(way, cost, score_of(cost), figures, 1)


def said(**changed: Any) -> Message:
    return why(ranked("Satin", replace(SOUND, **changed)))


def codes(message: Message, name: str) -> list[str]:
    found = message.value(name)
    assert isinstance(found, tuple)
    return [each.code for each in found if isinstance(each, Message)]


def test_a_print_that_is_far_off_and_pale_is_not_said_to_hold() -> None:
    found = said(de00_mean=12.0, de00_p95=20.0, chroma=-13.0)
    assert found.code == "choose.loses"
    assert codes(found, "losses") == ["choose.loss.weaker"]
    assert "weaker (chroma down by 13)" in str(found)
    assert "hold" not in str(found)


@pytest.mark.parametrize(
    ("changed", "loss"),
    [
        ({"lost_shadow": 0.2}, "shadow"),
        ({"lost_saturated": 0.2}, "saturated"),
        ({"chroma": -4.0}, "weaker"),
        ({"chroma": 4.0}, "stronger"),
        ({"chroma_saturated": -12.0}, "strong-weaker"),
        ({"lightness": -5.0}, "darker"),
        ({"lightness": 5.0}, "lighter"),
        ({"hue_shift_deg": 6.0}, "hue"),
        ({"grey_balance": 3.0}, "grey"),
    ],
)
def test_each_loss_is_named_by_its_own_figure(changed: dict[str, float], loss: str) -> None:
    assert codes(said(**changed), "losses") == [f"choose.loss.{loss}"]


def test_what_holds_is_what_there_is_of_in_the_pictures() -> None:
    assert codes(said(), "held") == [f"choose.held.{name}" for name in ("shadow", "saturated", "hue", "grey")]
    assert str(said()).endswith("; shadows, strong colours, hues and greys hold")
    grey = said(lost_saturated=None, hue_shift_deg=None, chroma_saturated=None)
    assert codes(grey, "held") == ["choose.held.shadow", "choose.held.grey"]
    nothing = said(lost_saturated=None, hue_shift_deg=None, lost_shadow=None, grey_balance=None)
    assert nothing == Message("choose.figures-alone", mean=1.2, p95=3.0)


def test_what_is_far_off_holds_nothing_even_where_no_single_figure_says_why() -> None:
    assert said(de00_mean=FAR + 1).code == "choose.far"


def test_strong_colours_have_a_figure_of_their_own() -> None:
    one = np.full((10, 10, 3), [50.0, 10.0, 0.0])
    one[:2] = [50.0, 80.0, 0.0]
    two = one.copy()
    two[:2] = [50.0, 65.0, 0.0]
    figures = compare(one, two)
    assert figures.chroma_saturated == pytest.approx(-15)
    assert figures.chroma == pytest.approx(-3)
    assert compare(one[2:], two[2:]).chroma_saturated is None


def test_readings_that_do_not_compare_give_a_hint_and_no_ranking() -> None:
    cards = [ranked("Satin", SOUND), ranked("Matt", replace(SOUND, de00_mean=6.0, lost_shadow=0.4))]
    sure, hedged = answer(cards, 1), answer(cards, 1, comparable=False)
    assert sure.code == "choose.clear-and-loses"
    assert hedged.code == "choose.hint"
    assert (hedged.value("stock"), hedged.value("second")) == ("Satin", "Matt")
    assert "may be as good" in str(hedged)
    assert answer(cards[:1], 1, comparable=False).code == "choose.only"
