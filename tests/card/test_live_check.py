"""A card that is being worked on: what can stand stands, and each remark is told of the part that it concerns."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.checks.live_check import live_check, part_of
from tackside.card.checks.remarks import remarks
from tackside.card.file.design import (
    CREDIT,
    WHOLE,
    CardCredit,
    CardParts,
    CardPicture,
    CardText,
    picture_part,
    text_part,
)
from tackside.card.layout.layout import lay_out
from tackside.card.make import UNKNOWN_PATH, fits_for
from tackside.errors import BadImage, BadRecord
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.picture.file.open import Picture
from tests.card.designs import printer, stock, write_corners


def opened(asked: CardPicture) -> Picture:
    return Picture(Path(asked.file), (600, 400), False, 8, b"", ())


def parts(**more: object) -> CardParts:
    return CardParts.model_validate({"stock": "Harbour Satin 300", "printer": "Tern 8", **more})


def test_an_empty_card_is_laid_out_with_all_its_panels() -> None:
    found = live_check(parts(), stock("vertical"), printer(), opened)
    assert [panel.name for face in found.faces for panel in face.panels] == [
        "back",
        "front",
        "inside-left",
        "inside-right",
    ]
    assert found.faults == {}
    assert found.feeds


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
    found = live_check(card, stock("vertical"), printer(), opened).remarks
    codes = {part: {message.code for message in messages} for part, messages in found.items()}
    assert text_part(0) not in codes
    assert "card-remark.clearly-soft" in codes[picture_part(0)]
    assert "card-remark.black-text-on-picture" in codes[text_part(1)]
    assert "card-remark.text-near-crease" in codes[text_part(2)]
    assert "card-remark.code-too-fine" in codes[CREDIT]


def test_two_texts_with_the_same_remark_each_have_it() -> None:
    card = parts(
        pictures=(CardPicture(panel="front", file="boats.jpg"),),
        texts=tuple(CardText(panel="front", text=text, size_pt=9) for text in ("over it", "and this")),
    )
    found = live_check(card, stock("vertical"), printer(), opened).remarks
    for number in (0, 1):
        assert "card-remark.black-text-on-picture" in {each.code for each in found[text_part(number)]}


def test_remarks_are_told_of_their_part_whatever_stands_beside_it() -> None:
    """A part that cannot stand does not shift the numbers of the others."""
    card = parts(
        pictures=(
            CardPicture(panel="front", file="boats.jpg", border_mm=150),
            CardPicture(panel="back", file="boats.jpg"),
        ),
    )
    found = live_check(card, stock("vertical"), printer(), opened)
    assert list(found.faults) == [picture_part(0)]
    assert picture_part(0) not in found.remarks
    assert "card-remark.clearly-soft" in {each.code for each in found.remarks[picture_part(1)]}
    assert [placed.part for placed in found.faces[0].pictures] == [picture_part(1)]


def test_what_concerns_the_sheet_is_told_of_the_whole_card() -> None:
    unknown = stock("vertical").model_copy(update={"caliper_mm": None})
    found = live_check(parts(), unknown, printer(), opened)
    assert found.faces[0].fit.warnings
    assert found.remarks == {WHOLE: found.faces[0].fit.warnings}
    assert {part_of(each) for each in found.faces[0].fit.warnings} == {WHOLE}


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
    found = live_check(card, stock("vertical"), printer(), opened)
    fits = fits_for(stock("vertical"), printer(), UNKNOWN_PATH)
    whole = live_check(card, stock("vertical"), printer(), opened).faces[0]
    said = {message for part in found.remarks.values() for message in part} - set(fits["front"].warnings)
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
    found = live_check(card, stock("vertical"), printer(), opened)
    assert list(found.faults) == [text_part(0)]
    assert found.faults[text_part(0)].message.code == "type.no-room-on-panel"
    assert found.faults[text_part(0)].place == Place("card", ("texts", 0, "text"))
    assert [text.asked.text for text in found.faces[0].texts] == ["small"]
    assert len(found.faces[0].pictures) == 1


def test_a_picture_that_is_gone_is_told_as_such() -> None:
    def gone(asked: CardPicture) -> Picture:
        raise BadImage("card.picture-gone", file=asked.file)

    card = parts(pictures=(CardPicture(panel="front", file="boats.jpg"),))
    fault = live_check(card, stock(), printer(), gone).faults[picture_part(0)]
    assert fault.message == Message("card.picture-gone", file="boats.jpg")
    assert fault.place == picture_part(0)


def test_a_card_that_is_larger_than_its_sheet_is_refused_as_a_whole() -> None:
    with pytest.raises(BadRecord) as caught:
        live_check(parts(cut_to_mm=(900, 900)), stock(), printer(), opened)
    assert caught.value.message.code == "card.cut-larger-than-sheet"
    assert caught.value.place == Place("card", ("cut_to_mm",))


def test_the_same_faces_come_out_as_for_the_printer(tmp_path: Path) -> None:
    from tackside.card.file.design import Card

    write_corners(tmp_path)
    card = Card(
        stock="Harbour Satin 300", printer="Tern 8", folder=tmp_path,
        pictures=(CardPicture(panel="front", file="corners.png", border_mm=8),),
    )  # fmt: skip
    found = live_check(card, stock(), printer(), opened)
    printed = lay_out(card, stock(), fits_for(stock(), printer(), UNKNOWN_PATH))
    assert found.faces[0].pictures[0].box_mm == printed[0].pictures[0].box_mm
    assert found.faces[0].panels == printed[0].panels
