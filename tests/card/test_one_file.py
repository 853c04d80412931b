"""The cards of a list in one PDF: named pages, and what they share in it once."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from tackside.card.file.design import Card, CardCredit, CardPicture, CardText
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.card.series.one_file import make_one_file
from tackside.card.series.row_faults import ListRow, Rows
from tackside.card.series.rows import personalised
from tackside.errors import BadRequest
from tests.card.designs import printer, stock
from tests.refusals import refused

GUESTS = ("Ann", "Zoë", "Ann")
ROWS = Rows(
    "guests.csv", ("name",), tuple(ListRow(n, n + 1, {"name": each}) for n, each in enumerate(GUESTS, 1))
)


@pytest.fixture
def card(tmp_path: Path) -> Card:
    Image.effect_noise((900, 600), 60).convert("RGB").save(tmp_path / "a.png")
    return Card(
        stock="S",
        printer="P",
        pictures=(CardPicture(panel="front", file="a.png"),),
        texts=(CardText(panel="inside-right", text="Dear {name}", size_pt=20),),
        credit=CardCredit(text="{name}"),
        folder=tmp_path,
    )


def titles(pdf: pikepdf.Pdf) -> list[tuple[str, list[str]]]:
    with pdf.open_outline() as outline:
        return [(each.title, [child.title for child in each.children]) for each in outline.root]


def test_pages_are_labelled_and_bookmarked_by_row(card: Card, tmp_path: Path) -> None:
    made = make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.pdf")
    assert {file for each in made for file in each.sheet.files.values()} == {tmp_path / "all.pdf"}
    with pikepdf.open(tmp_path / "all.pdf") as pdf:
        # ISO 32000-1, clause 12.4.2: a label of a prefix alone is that prefix.
        assert [page.label for page in pdf.pages] == [
            "1 Ann, outside", "1 Ann, inside", "2 Zoë, outside", "2 Zoë, inside", "3 Ann, outside", "3 Ann, inside",
        ]  # fmt: skip
        assert titles(pdf) == [(name, ["Outside", "Inside"]) for name in ("1 Ann", "2 Zoë", "3 Ann")]


def test_all_outsides_come_before_all_insides_where_asked(card: Card, tmp_path: Path) -> None:
    make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.pdf", faces_apart=True)
    with pikepdf.open(tmp_path / "all.pdf") as pdf:
        assert [page.label.split(", ")[1] for page in pdf.pages] == ["outside"] * 3 + ["inside"] * 3
        assert titles(pdf) == [(face, ["1 Ann", "2 Zoë", "3 Ann"]) for face in ("Outside", "Inside")]


def test_a_picture_that_all_show_is_in_the_file_once(card: Card, tmp_path: Path) -> None:
    make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.pdf")
    make_card(personalised(card, ROWS)[0], stock(), printer(), tmp_path / "one.pdf")
    with pikepdf.open(tmp_path / "all.pdf") as pdf:
        pictures = {page.Resources.XObject["/Picture1"].objgen for page in list(pdf.pages)[::2]}
        assert len(pictures) == 1
        fonts = {each.objgen for page in pdf.pages for each in page.Resources.Font.values()}
        assert len(fonts) == 1
    alone, together = ((tmp_path / name).stat().st_size for name in ("one.pdf", "all.pdf"))
    assert together < alone * 1.05


def test_a_page_is_the_same_as_that_of_a_card_made_alone(card: Card, tmp_path: Path) -> None:
    make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.pdf")
    make_card(personalised(card, ROWS)[1], stock(), printer(), tmp_path / "one.pdf")
    with pikepdf.open(tmp_path / "all.pdf") as pdf, pikepdf.open(tmp_path / "one.pdf") as one:
        for page, alone in zip(list(pdf.pages)[2:4], one.pages, strict=True):
            assert page.Contents.read_bytes() == alone.Contents.read_bytes()


def test_pictures_are_jpegs_where_asked(card: Card, tmp_path: Path) -> None:
    make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.pdf", output=Output(jpeg_in_pdf=True))
    with pikepdf.open(tmp_path / "all.pdf") as pdf:
        assert pdf.pages[0].Resources.XObject["/Picture1"].Filter == "/DCTDecode"


def test_only_a_pdf_holds_a_whole_list(card: Card, tmp_path: Path) -> None:
    with refused(BadRequest, "card-rows.one-file-not-pdf"):
        make_one_file(card, ROWS, stock(), printer(), tmp_path / "all.tif")
