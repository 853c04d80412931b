"""The side finder and the next step.

How sure it is to be, and the figures of each invented print, are this project's own choice: docs/sources.md, S54.
"""

from __future__ import annotations

import pytest

from tackside.messages.message import Message
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.records import Attribute, Cause, Reading
from tackside.records.reading import Flaw
from tackside.verdict.causes.next_step import next_steps
from tackside.verdict.causes.symptoms import PRIORS
from tackside.verdict.sides import Printable, drags_answered, find_side
from tests.verdict.printed import printed
from tests.verdict.readings import reading, trial

DEEP, PALE = reading(black=15.0), reading(black=31.0, chroma=0.5)


def test_the_side_with_the_deep_black_takes_ink() -> None:
    assert find_side(DEEP, PALE).printable == "front"
    assert find_side(PALE, DEEP).printable == "back"
    assert find_side(DEEP, DEEP).printable == "both"
    assert find_side(PALE, PALE).printable == "neither"
    assert find_side(DEEP, PALE).sure


def test_the_finger_alone_tells_but_an_unsure_one_does_not() -> None:
    # A damp fingertip drags on an inkjet coating and not on bare card (docs/sources.md, S51).
    told = find_side(drag_front="no", drag_back="yes")
    assert told.printable == "back"
    nothing = find_side(drag_front="unsure", drag_back="unsure")
    assert not nothing.sure
    assert sum(nothing.probabilities.values()) == pytest.approx(1)


def test_a_finger_that_contradicts_the_prints_is_told() -> None:
    assert Message("side.contradiction") in find_side(PALE, DEEP, drag_front="yes").reasons


def test_side_against_stock_is_settled_by_the_other_side() -> None:
    # The other side raises Dmax sharply (docs/sources.md, S50). How the two are weighed is our own.
    open_question: dict[Cause, float] = dict.fromkeys(PRIORS, 0.0) | {"side": 0.5, "stock": 0.5}
    first = next_steps(open_question)[0]
    assert (first.step, first.sheets) == ("other-side", 1.0)
    assert first.gain_bits == pytest.approx(0.78, abs=0.08)


def test_no_step_is_named_where_nothing_is_open() -> None:
    settled: dict[Cause, float] = dict.fromkeys(PRIORS, 0.0) | {"scaling": 1.0}
    assert next_steps(settled) == ()


COATED, BARE = matt_coated(), matt_uncoated_back()


def half(model: StockModel, off: float = 0.0, key: str = "scanner A, 300 ppi") -> Reading:
    """Half a sheet on this side, read by a scanner whose L* is ``off`` everywhere."""
    there = printed(trial(), model, key=key)
    patches = tuple(
        patch.model_copy(update={"lab": (patch.lab[0] + off, *patch.lab[1:])}) for patch in there.patches
    )
    trust = there.uncertainty.model_copy(update={"de00": 3.0})
    return there.model_copy(update={"patches": patches, "kind": "scan", "uncertainty": trust})


@pytest.mark.parametrize("off", [-2.0, 0.0, 2.0])
@pytest.mark.parametrize(
    ("front", "back", "printable"),
    [
        (COATED, BARE, "front"),
        (BARE, COATED, "back"),
        (semi_gloss(), craft_card(), "front"),
        (cotton_etching(), cotton_etching(), "both"),
        (craft_card(), BARE, "neither"),
    ],
)
def test_sides_of_the_virtual_presss_cards_are_told(
    front: StockModel, back: StockModel, printable: Printable, off: float
) -> None:
    assert find_side(half(front, off), half(back, off)).printable == printable
    by_both = find_side(
        half(front, off),
        half(back, off),
        drag_front="yes" if front.takes_ink else "no",
        drag_back="yes" if back.takes_ink else "no",
    )
    assert by_both.printable == printable
    assert by_both.sure


@pytest.mark.parametrize(
    "changes",
    [
        {"attributes": {"unfit": Attribute(value=0.5, unit="1")}},
        {"attributes": {"unfit": Attribute(value=1.0, unit="1")}},
        {"flaws": (Flaw(code="scan.photograph-by-tags", degree=1.0),)},
        {"flaws": (Flaw(code="scan.sharpened", degree=0.5),)},
    ],
)
def test_unfit_prints_make_no_side_sure(changes: dict[str, object]) -> None:
    sound = find_side(half(COATED), half(BARE))
    unfit = find_side(half(COATED).model_copy(update=changes), half(BARE))
    assert sound.sure
    assert not unfit.sure
    assert unfit.probabilities["front"] < sound.probabilities["front"]
    assert Message("side.unfit-itself") in unfit.reasons


def test_the_notice_of_an_unfit_print_is_named() -> None:
    notice = Message("scan.sharpened", file="half.tif", overshoot=0.12)
    flawed = half(COATED).model_copy(
        update={"notices": (notice,), "flaws": (Flaw(code=notice.code, degree=0.5),)}
    )
    assert Message("side.unfit", why=notice) in find_side(flawed, half(BARE)).reasons


def test_sides_that_were_not_read_alike_make_no_side_sure() -> None:
    found = find_side(half(COATED), half(BARE, key="scanner B, 300 ppi"))
    assert not found.sure
    assert Message("side.not-alike") in found.reasons


def test_sides_of_which_nothing_tells_how_they_were_read_are_said_to_be_so() -> None:
    keys = [f"scan | file {number} | 300 ppi, 8 bits, sRGB assumed" for number in (1, 2)]
    found = find_side(half(COATED, key=keys[0]), half(BARE, key=keys[1]))
    assert not found.sure
    codes = {reason.code for reason in found.reasons}
    assert "verdict.sides-not-known-alike" in codes
    assert "side.not-alike" not in codes


@pytest.mark.parametrize(("on_front", "on_back"), [("no", "no"), ("yes", "yes"), ("no", "yes")])
def test_a_finger_against_the_prints_makes_no_side_sure(on_front: str, on_back: str) -> None:
    found = find_side(half(COATED), half(BARE), drag_front=on_front, drag_back=on_back)  # type: ignore[arg-type]
    assert not found.sure
    assert Message("side.contradiction") in found.reasons


def test_answers_by_eye_tell_of_both_sides_whichever_was_printed() -> None:
    def answered(this: float, other: float, **more: object) -> Reading:
        said = {"eye_drag_this_side": this, "eye_drag_other_side": other}
        there = reading().model_copy(update={"kind": "eye", "patches": (), **more})
        return there.model_copy(
            update={
                "attributes": {
                    **there.attributes,
                    **{name: Attribute(value=value, unit="answer", sd=0.3) for name, value in said.items()},
                }
            }
        )

    assert drags_answered(answered(1.0, 0.0), None) == ("yes", "no")
    assert drags_answered(None, answered(1.0, 0.0)) == ("no", "yes")
    assert drags_answered(answered(1.0, 0.0), answered(1.0, 0.0)) == (
        "unsure",
        "unsure",
    )  # they contradict each other
    unfit = answered(1.0, 0.0, attributes={"unfit": Attribute(value=0.5, unit="1")})
    assert drags_answered(unfit, None) == ("unsure", "unsure")
    assert find_side(answered(1.0, 0.0), None, drag_front="yes", drag_back="no").printable == "front"
