"""What to do about the inside, and the insert sheet that sits in it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.inside import INSERT_CLEAR_MM, insert_for, inside_advice
from tackside.fit.fold.panels import FoldKind, opened, panels
from tackside.fit.full_fit import fit_in_full
from tackside.messages.message import Message
from tests.fit.stocks import horizontal, printer, stock, vertical


@pytest.mark.parametrize(
    ("coated", "outside", "inside", "code"),
    [
        ("front", True, "text", "fit.inside-bare-or-insert"),
        ("both", True, "print", "fit.inside-coated-or-insert"),
        ("back", True, "text", "fit.outside-on-the-back-or-insert"),
        ("none", False, "text", "fit.neither-coated-or-insert"),
        ("unknown", None, "unknown", "fit.inside-unknown-or-insert"),
    ],
)
def test_the_inside_is_good_for_what_its_coating_allows(
    coated: str, outside: bool | None, inside: str, code: str
) -> None:
    found = inside_advice(stock((210, 297), horizontal(148.5), coated=coated))
    assert (found.outside_is_coated, found.inside_takes) == (outside, inside)
    assert (found.sentence.code, found.sentence.value("face")) == (code, Message("fit.face-inside"))


def test_an_insert_for_a5_worked_by_hand() -> None:
    # Leaves of 148 × 105 mm each, 3 mm shy of every free edge: folded 142 × 102, open 142 × 204.
    insert = insert_for(stock((148, 210), horizontal(105)))
    assert insert is not None
    assert (insert.folded_mm, insert.size_mm) == ((142, 102), (142, 204))
    assert insert.crease == horizontal(102)


def test_an_insert_does_not_peep_out_of_a_short_front() -> None:
    insert = insert_for(stock((185, 148), vertical(105)))
    assert insert is not None
    assert insert.folded_mm[0] == 80 - INSERT_CLEAR_MM


@given(
    st.floats(60, 160), st.floats(60, 200), st.sampled_from(["side", "top", "gate", "roll"]), st.booleans()
)
def test_an_insert_lies_inside_every_panel_that_covers_it(
    width: float, height: float, kind: FoldKind, across: bool
) -> None:
    size, creases = opened((width, height), kind, across=across)
    insert = insert_for(stock(size, *creases))
    assert insert is not None
    covers = [
        panel.trim
        for panel in panels(size, creases, "back")
        if kind in ("side", "top") or panel.name == "inside-middle"
    ]
    for trim in covers:
        assert insert.folded_mm[0] <= trim.w - INSERT_CLEAR_MM + 0.051
        assert insert.folded_mm[1] <= trim.h - INSERT_CLEAR_MM + 0.051


@pytest.mark.parametrize("kind", ["flat", "accordion", "quarter"])
def test_cards_without_an_inside_of_their_own_take_no_insert(kind: FoldKind) -> None:
    size, creases = opened((100, 150), kind)
    assert insert_for(stock(size, *creases)) is None


def test_an_insert_too_small_to_write_on_is_not_offered() -> None:
    assert insert_for(stock((100, 200), vertical(80))) is None


def test_a_quarter_fold_wants_a_thin_sheet() -> None:
    size, creases = opened((100, 140), "quarter")
    stout = fit_in_full(stock(size, *creases), printer())
    assert [each.code for each in stout.warnings] == ["fit.too-stout-for-a-quarter-fold"]
    thin = fit_in_full(stock(size, *creases, weight_gsm=120, caliper_mm=0.15), printer())
    assert thin.warnings == ()
    assert thin.fold == "quarter"


def test_a_flap_that_cannot_lie_flat_is_warned_of() -> None:
    buckling = fit_stock(stock((300, 148), vertical(100), vertical(200)), printer())
    assert any(each.value("most_mm") == 98.5 for each in buckling.warnings if each.code == "fit.flap-buckles")
    size, creases = opened((100, 148), "roll")
    assert all(
        each.code != "fit.flap-buckles" for each in fit_stock(stock(size, *creases), printer()).warnings
    )
