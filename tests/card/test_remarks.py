"""What is said before the sheet goes in: cut edges, uneven borders, enlargement, too few pixels."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.file.design import Card, CardPicture, CardText, picture_part
from tackside.card.make import make_card
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Margins
from tackside.records.card import CardImage
from tests.card.designs import printer, stock, write_corners

MARGINS = Margins(top=3, bottom=5, left=3.4, right=3.4)


def said(
    folder: Path, *, borderless: bool = False, width: int = 3000, height: int = 2000, **asked: object
) -> dict[str, Message]:
    """What is said of one picture on the front, by code."""
    write_corners(folder, width=width, height=height)
    picture = CardPicture(panel="front", file="corners.png", **asked)
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(picture,), folder=folder)
    made = make_card(
        card, stock(), printer(MARGINS, borderless=borderless, grid_ppi=100), folder / "card.pdf"
    )
    return {each.code: each for each in made.warnings}


def test_a_picture_to_the_edge_with_margins_is_said_to_be_cut(tmp_path: Path) -> None:
    warned = said(tmp_path)["card-remark.picture-past-margin"]
    # The front has the margins left, right and bottom; the crease is above it: 210 − 6.8 by 148.5 − 5.
    assert warned.value("reached_mm") == pytest.approx((203.2, 143.5))
    assert warned.value("border_mm") == 5
    assert warned.value("part") == picture_part(0)
    assert "prints only 203.2 × 143.5 mm of the panel; a border_mm of 5 mm or more keeps" in str(warned)


def test_a_border_narrower_than_the_margin_names_the_smallest_equal_one(tmp_path: Path) -> None:
    warned = said(tmp_path, border_mm=4)["card-remark.border-under-margin"]
    assert warned.value("margin_mm") == pytest.approx(5)
    smallest = warned.value("smallest_mm")
    again = said(tmp_path, border_mm=smallest)
    assert not {"card-remark.border-under-margin", "card-remark.picture-past-margin"} & set(again)


def test_a_border_as_wide_as_the_margin_says_nothing(tmp_path: Path) -> None:
    assert not [code for code in said(tmp_path, border_mm=5) if "border" in code]


def test_borderless_enlargement_is_named_at_the_edge_and_at_borders(tmp_path: Path) -> None:
    to_the_edge = said(tmp_path, borderless=True)["card-remark.enlarged-past-edge"]
    assert (to_the_edge.value("enlargement_mm"), to_the_edge.value("file")) == (2.5, "corners.png")
    bordered = said(tmp_path, borderless=True, border_mm=12)
    assert bordered["card-remark.enlarged-border"].value("enlargement_mm") == 2.5
    assert "card-remark.enlarged-past-edge" not in bordered


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
    told = {each.code: each for each in made.warnings}
    larger = told["card-remark.enlarged-cut"].value("larger_mm")
    assert larger == pytest.approx((190 * 5 / 210, 277 * 5 / 297))
    assert "about 4.5 × 4.7 mm larger" in str(told["card-remark.enlarged-cut"])
    assert "card-remark.enlarged-past-edge" not in told
    plain = make_card(asked, stock(), printer(MARGINS, grid_ppi=100), tmp_path / "card.pdf")
    assert not [each.code for each in plain.warnings if "enlarged" in each.code]


def test_too_few_pixels_are_counted(tmp_path: Path) -> None:
    write_corners(tmp_path, width=600, height=400)
    asked = CardPicture(panel="front", file="corners.png", border_mm=10)
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=tmp_path)
    made = make_card(card, stock(), printer(MARGINS, grid_ppi=600), tmp_path / "card.pdf")
    # 400 pixels on 128.5 mm: 400 ÷ (128.5 ÷ 25.4) = 79 an inch; 300 an inch is 1518 pixels high.
    soft = next(each for each in made.warnings if each.code == "card-remark.clearly-soft")
    assert soft.value("ppi") == pytest.approx(400 / (128.5 / 25.4))
    assert soft.value("height") == 1518
    assert "79 pixels an inch" in str(soft)


def test_a_picture_without_a_profile_is_said(tmp_path: Path) -> None:
    opened = said(tmp_path, border_mm=8)["card-remark.opened"]
    assert opened.value("says") == Message("picture.taken-for-srgb", file="corners.png")
    assert str(opened).endswith("its numbers are taken for sRGB.")


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
    over = next(each for each in made.warnings if each.code == "card-remark.black-text-on-picture")
    assert over.value("part") == Place("card", ("texts", 0))
    assert over.value("panel") == Message("panel.front")


def test_what_an_earlier_version_kept_of_a_picture_is_still_said() -> None:
    kept = CardImage.model_validate(
        {
            **dict.fromkeys(("sha256", "shown_sha256", "small_sha256"), "0" * 64),
            "name": "boats.jpg",
            "size_px": (30, 20),
            "warnings": ["boats.jpg has transparent parts; they are laid on white"],
        }
    )
    assert CardImage.model_validate(kept.model_dump(mode="json")) == kept
    said = Message("card-remark.opened", says=kept.warnings[0], part=picture_part(0))
    assert str(said) == "boats.jpg has transparent parts; they are laid on white."
