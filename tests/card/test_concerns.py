"""A card that is being worked on: what can stand stands, and each remark is told of the part that it concerns."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.checks.live_check import try_out
from tackside.card.checks.remarks import remarks
from tackside.card.file.design import CardCredit, CardParts, CardPicture, CardText
from tackside.card.layout.layout import lay_out
from tackside.card.make import UNKNOWN_PATH, fits_for
from tackside.errors import BadImage, BadRecord
from tackside.picture.file.open import Picture
from tests.card.designs import printer, stock, write_corners


def opened(asked: CardPicture) -> Picture:
    return Picture(Path(asked.file), (600, 400), False, 8, b"", ())


def parts(**more: object) -> CardParts:
    return CardParts.model_validate({"stock": "Harbour Satin 300", "printer": "Tern 8", **more})


def test_an_empty_card_is_laid_out_with_all_its_panels() -> None:
    tried = try_out(parts(), stock("vertical"), printer(), opened)
    assert [panel.name for face in tried.faces for panel in face.panels] == [
        "back",
        "front",
        "inside-left",
        "inside-right",
    ]
    assert tried.faults == {}
    assert tried.feeds


def test_each_remark_is_told_of_the_part_that_it_concerns() -> None:
    card = parts(
        pictures=(CardPicture(panel="front", file="boats.jpg"),),
        texts=(
            CardText(panel="back", text="far from every edge", size_pt=9),
            CardText(panel="front", text="over the boats", size_pt=9),
            CardText(
                panel="inside-left", text="by the crease", size_pt=9, box_mm=(110, 50, 38, 20), align="end"
            ),
        ),
        credit=CardCredit(qr="https://example.org/" + "x" * 90, qr_mm=10),
    )
    told = try_out(card, stock("vertical"), printer(), opened).remarks
    assert "text-0" not in told
    assert any("pixels an inch" in said for said in told["picture-0"])
    assert any("stands on boats.jpg" in said for said in told["text-1"])
    assert any("from the crease" in said for said in told["text-2"])
    assert any("modules" in said for said in told["credit"])


def test_no_remark_is_lost_or_added(tmp_path: Path) -> None:
    """What is told part by part is what ``card make`` tells in one list."""
    write_corners(tmp_path)
    card = parts(
        pictures=(CardPicture(panel="front", file="corners.png"),),
        texts=(
            CardText(panel="front", text="over it", size_pt=9),
            CardText(panel="front", text="and this", size_pt=9),
        ),
        background="#ffffff",
    )
    tried = try_out(card, stock("vertical"), printer(), opened)
    fits = fits_for(stock("vertical"), printer(), UNKNOWN_PATH)
    whole = try_out(card, stock("vertical"), printer(), opened).faces[0]
    said = {sentence for part in tried.remarks.values() for sentence in part} - set(fits["front"].warnings)
    assert said == set(remarks(whole, printer().grid_ppi))
    assert said


def test_a_part_that_cannot_stand_leaves_the_others_standing() -> None:
    card = parts(
        pictures=(CardPicture(panel="front", file="boats.jpg"),),
        texts=(
            CardText(panel="back", text="immense " * 30, size_pt=120),
            CardText(panel="back", text="small", size_pt=9),
        ),
    )
    tried = try_out(card, stock("vertical"), printer(), opened)
    assert list(tried.faults) == ["text-0"]
    assert "has room for" in str(tried.faults["text-0"])
    assert [text.asked.text for text in tried.faces[0].texts] == ["small"]
    assert len(tried.faces[0].pictures) == 1


def test_a_picture_that_is_gone_is_told_as_such() -> None:
    def gone(asked: CardPicture) -> Picture:
        raise BadImage(f"there is no picture {asked.file}", "drop it on the card again")

    card = parts(pictures=(CardPicture(panel="front", file="boats.jpg"),))
    assert "no picture boats.jpg" in str(try_out(card, stock(), printer(), gone).faults["picture-0"])


def test_a_card_that_is_larger_than_its_sheet_is_refused_as_a_whole() -> None:
    with pytest.raises(BadRecord, match="cut_to_mm"):
        try_out(parts(cut_to_mm=(900, 900)), stock(), printer(), opened)


def test_the_same_faces_come_out_as_for_the_printer(tmp_path: Path) -> None:
    from tackside.card.file.design import Card

    write_corners(tmp_path)
    card = Card(
        stock="Harbour Satin 300", printer="Tern 8", folder=tmp_path,
        pictures=(CardPicture(panel="front", file="corners.png", border_mm=8),),
    )  # fmt: skip
    tried = try_out(card, stock(), printer(), opened)
    printed = lay_out(card, stock(), fits_for(stock(), printer(), UNKNOWN_PATH))
    assert tried.faces[0].pictures[0].box_mm == printed[0].pictures[0].box_mm
    assert tried.faces[0].panels == printed[0].panels
