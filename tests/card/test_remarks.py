"""What is said before the sheet goes in: cut edges, uneven borders, enlargement, too few pixels."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.make import make_card
from tackside.records import Margins
from tests.card.designs import printer, stock, write_corners

MARGINS = Margins(top=3, bottom=5, left=3.4, right=3.4)


def said(
    folder: Path, *, borderless: bool = False, width: int = 3000, height: int = 2000, **asked: object
) -> str:
    write_corners(folder, width=width, height=height)
    picture = CardPicture(panel="front", file="corners.png", **asked)
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(picture,), folder=folder)
    made = make_card(
        card, stock(), printer(MARGINS, borderless=borderless, grid_ppi=100), folder / "card.pdf"
    )
    return "\n".join(made.warnings)


def test_a_picture_to_the_edge_with_margins_is_said_to_be_cut(tmp_path: Path) -> None:
    warned = said(tmp_path)
    # The front has the margins left, right and bottom; the crease is above it: 210 − 6.8 by 148.5 − 5.
    assert "prints only 203.2 × 143.5 mm of the panel" in warned
    assert "border_mm = 5 or more" in warned


def test_a_border_narrower_than_the_margin_names_the_smallest_equal_one(tmp_path: Path) -> None:
    warned = said(tmp_path, border_mm=4)
    assert "narrower than the printer's margin of 5.0 mm" in warned
    smallest = float(re.findall(r"border_mm = ([\d.]+)", warned)[-1])
    assert "margin" not in said(tmp_path, border_mm=smallest)


def test_a_border_as_wide_as_the_margin_says_nothing(tmp_path: Path) -> None:
    assert "border" not in said(tmp_path, border_mm=5)


def test_borderless_enlargement_is_named_at_the_edge_and_at_borders(tmp_path: Path) -> None:
    assert "carries about 2.5 mm of corners.png past each outer edge" in said(tmp_path, borderless=True)
    assert "about 2.5 mm narrower at the outer edges than at the crease" in said(
        tmp_path, borderless=True, border_mm=12
    )


def test_a_card_that_is_cut_out_is_told_of_its_own_growth_and_not_of_the_sheets_edges(tmp_path: Path) -> None:
    """190 × 277 mm out of A4, which 2.5 mm an edge makes 215 × 302: by hand, 190 · 5 / 210 and 277 · 5 / 297 mm."""
    write_corners(tmp_path)
    asked = Card(
        stock="S",
        printer="P",
        pictures=(CardPicture(panel="front", file="corners.png"),),
        cut_to_mm=(190, 277),
        folder=tmp_path,
    )
    made = make_card(asked, stock(), printer(MARGINS, borderless=True, grid_ppi=100), tmp_path / "card.pdf")
    told = " ".join(made.warnings)
    assert "makes the card that is cut out about 4.5 × 4.7 mm larger" in told
    assert "past each outer edge" not in told
    plain = make_card(asked, stock(), printer(MARGINS, grid_ppi=100), tmp_path / "card.pdf")
    assert "Borderless" not in " ".join(plain.warnings)


def test_too_few_pixels_are_counted(tmp_path: Path) -> None:
    write_corners(tmp_path, width=600, height=400)
    asked = CardPicture(panel="front", file="corners.png", border_mm=10)
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=tmp_path)
    made = make_card(card, stock(), printer(MARGINS, grid_ppi=600), tmp_path / "card.pdf")
    # 400 pixels on 128.5 mm: 400 ÷ (128.5 ÷ 25.4) = 79 an inch; 300 an inch is 1518 pixels high.
    assert any("79 pixels an inch" in line and "× 1518 pixels" in line for line in made.warnings)


def test_a_picture_without_a_profile_is_said(tmp_path: Path) -> None:
    assert "has no colour profile; its numbers are taken for sRGB." in said(tmp_path, border_mm=8)


@pytest.mark.parametrize("place", ["middle", "foot"])
def test_text_over_a_picture_is_pointed_out(tmp_path: Path, place: str) -> None:
    write_corners(tmp_path)
    card = Card(
        stock="Harbour Satin 300",
        printer="Tern 8",
        pictures=(CardPicture(panel="front", file="corners.png"),),
        texts=(CardText(panel="front", text="Happy birthday", place=place),),
        folder=tmp_path,
    )
    made = make_card(card, stock(), printer(MARGINS), tmp_path / "card.pdf")
    assert any("text on the front panel stands on corners.png" in line for line in made.warnings)
