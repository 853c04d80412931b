"""A card's outside on either face of its stock: the coated one unless the card says otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.file.design import Card, CardText
from tackside.card.make import LaidOut, lay_out_for
from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.panels import outside_of, with_outside
from tackside.fit.full_fit import fit_in_full
from tackside.fit.placement.correction import Correction
from tackside.fit.placement.measured import UNMEASURED, PrintPath
from tackside.records import Crease, Stock
from tackside.records.sheet_plan import Side
from tests.card.designs import printer, stock

OFF_CENTRE = Crease(direction="vertical", at_mm=90)


def off_centre(coated: str) -> Stock:
    return stock().model_copy(
        update={"open_size_mm": (210.0, 148.0), "creases": (OFF_CENTRE,), "coated": coated}
    )


def laid(of: Stock, path: PrintPath | None = None, **card: object) -> LaidOut:
    texts = tuple(CardText(panel=panel, text="Hello", size_pt=9) for panel in ("front", "inside-left"))
    asked = Card(stock="S", printer="P", texts=texts, folder=Path(), **card)  # type: ignore[arg-type]
    return lay_out_for(asked, of, printer(), path=path or PrintPath())


@pytest.mark.parametrize(
    ("coated", "outside"), [("front", "front"), ("back", "back"), ("both", "front"), ("unknown", "front")]
)
def test_the_outside_lies_on_the_coated_side(coated: str, outside: Side) -> None:
    assert outside_of(off_centre(coated)) == laid(off_centre(coated)).outside_on == outside


def test_the_card_may_say_otherwise() -> None:
    found = laid(off_centre("back"), outside_on="front")
    assert found.outside_on == "front"
    assert "card-remark.on-bare-side" in [each.code for each in found.warnings]


def test_a_stock_turned_over_twice_is_itself() -> None:
    turned = with_outside(off_centre("front"), "back")
    assert (turned.creases[0].at_mm, turned.coated) == (120.0, "back")
    assert with_outside(turned, "back") == off_centre("front")


def test_an_off_centre_crease_is_where_it_is_on_that_side() -> None:
    # Worked by hand: seen from the back, a crease 90 mm from the left of 210 lies 120 mm from the left.
    panels = {panel.name: panel for face in laid(off_centre("back")).faces for panel in face.panels}
    assert panels["front"].trim.w == pytest.approx(90)
    assert panels["inside-left"].trim.w == pytest.approx(90)
    assert (panels["front"].trim.x, panels["inside-left"].trim.x) == (pytest.approx(120), pytest.approx(0))


def test_fit_and_layout_agree() -> None:
    of = off_centre("back")
    found = laid(of)
    for face, side in zip(found.faces, ("back", "front"), strict=True):
        fit = fit_stock(of, printer(), side=side)  # type: ignore[arg-type]
        assert [(p.name, p.trim) for p in fit.panels] == [(p.name, p.trim) for p in face.panels]
    whole = fit_in_full(of, printer())
    assert whole.side == "back"
    assert [panel.name for panel in whole.panels] == ["back", "front"]
    assert whole.inside.outside_is_coated


def test_a_card_is_corrected_by_trials_of_the_side_that_it_is_printed_on() -> None:
    moved = Correction(matrix=((1.0, 0.0, 2.0), (0.0, 1.0, 0.0)))
    path = PrintPath({"back": UNMEASURED.model_copy(update={"correction": moved, "trials": ("T1",)})})
    found = laid(off_centre("back"), path)
    assert found.path.placements["front"].trials == ("T1",)
    assert found.path.correction("front", (210, 148)) == moved
    assert laid(off_centre("front"), path).path.correction("front", (210, 148)).is_identity


def test_an_inside_whose_turn_was_never_tried_says_so() -> None:
    def codes(path: PrintPath) -> list[str]:
        return [each.code for each in laid(off_centre("both"), path).warnings]

    assert "card-remark.second-side-untried" in codes(PrintPath(tried=False))
    assert "card-remark.second-side-untried" not in codes(PrintPath(tried=True))
    assert "card-remark.second-side-untried" not in codes(PrintPath())
