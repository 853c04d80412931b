"""Margins as the reader of the folded card sees them, on examples worked out by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.fit.fold.folded_margins import folded_margins
from tackside.fit.full_fit import fit_in_full
from tackside.fit.model import Panel, TurnDeg
from tackside.records import Margins
from tackside.units import Box
from tests.fit.stocks import feed, horizontal, printer, stock, vertical

MARGINS = Margins(top=3, bottom=5, left=2, right=4)


def edges(
    panel: str, *creases: object, size: tuple[float, float] = (210, 297), side: str = "front"
) -> tuple[float, ...]:
    fit = fit_in_full(stock(size, *creases), printer(feed(margins_mm=MARGINS)), side=side)  # type: ignore[arg-type]
    found = next(each for each in fit.folded_margins if each.panel == panel)
    return found.top, found.right, found.bottom, found.left, found.equal_border_mm


def test_a_top_fold_worked_by_hand() -> None:
    # A4 with a crease across: the front is the lower half, its top the crease, its foot the trailing edge.
    assert edges("front", horizontal(148.5)) == (0, 4, 5, 2, 5)
    # The back stands upside down above it: its top is the crease, its foot the leading edge; left is right.
    assert edges("back", horizontal(148.5)) == (0, 2, 3, 4, 4)


def test_a_side_fold_worked_by_hand() -> None:
    # 10 × 7 in with a crease along: the front is the right half, its left edge the crease.
    assert edges("front", vertical(127), size=(254, 178)) == (3, 4, 5, 0, 5)
    assert edges("back", vertical(127), size=(254, 178)) == (3, 0, 5, 2, 5)
    assert edges("inside-left", vertical(127), size=(254, 178), side="back") == (3, 0, 5, 2, 5)


def test_a_quarter_fold_worked_by_hand() -> None:
    fold = vertical(105), horizontal(148.5)
    assert edges("front", *fold) == (0, 4, 5, 0, 5)
    # The insides are fed heads down: their tops are the creases and their feet the sheet's leading edge.
    assert edges("inside-left", *fold) == (0, 0, 3, 4, 4)
    assert edges("inside-right", *fold) == (0, 2, 3, 0, 3)


@pytest.mark.parametrize(
    ("turn", "seen"),
    [
        (0, (1, 2, 3, 4)),
        # Turned to the right, the contents' top lies at the sheet's right edge.
        (90, (2, 3, 4, 1)),
        (180, (3, 4, 1, 2)),
        (270, (4, 1, 2, 3)),
    ],
)
def test_margins_turn_with_the_contents(turn: TurnDeg, seen: tuple[float, ...]) -> None:
    panel = Panel(name="front", trim=Box(0, 0, 100, 100), printable=Box(4, 1, 94, 96), turn_deg=turn)
    (found,) = folded_margins([panel])
    assert (found.top, found.right, found.bottom, found.left) == seen


@given(st.tuples(*[st.floats(0, 30)] * 4), st.floats(0.2, 0.8), st.sampled_from(["front", "back"]))
def test_the_equal_border_is_the_narrowest_that_is_printed_whole(
    margins: tuple[float, ...], share: float, side: str
) -> None:
    given_margins = Margins(top=margins[0], bottom=margins[1], left=margins[2], right=margins[3])
    fit = fit_in_full(
        stock((210, 297), horizontal(share * 297)),
        printer(feed(margins_mm=given_margins)),
        side=side,  # type: ignore[arg-type]
    )
    panels = {panel.name: panel for panel in fit.panels}
    for found in fit.folded_margins:
        panel = panels[found.panel]
        width = found.equal_border_mm
        if min(panel.trim.w, panel.trim.h) <= 2 * width + 1:
            continue  # nothing is left inside such a border
        assert panel.printable.contains(panel.trim.shrunk(width), slack=0.002)
        if width > 0.1:
            assert not panel.printable.contains(panel.trim.shrunk(width - 0.05), slack=0.002)


def test_a_panel_out_of_reach_has_no_margins() -> None:
    fit = fit_in_full(stock((210, 297), horizontal(2)), printer())
    assert [each.panel for each in fit.folded_margins] == ["front"]
