"""Type in the PDF, read back by another library: where each character stands, what a search finds, what is embedded."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from PIL import Image

from tackside.card.file.design import Card, CardText
from tackside.card.layout.texts import PlacedText
from tackside.card.make import make_card
from tackside.card.type.typeface import typeface
from tackside.records import Crease
from tackside.units import MM_PER_POINT
from tests.card.designs import printer, stock
from tests.card.fonts import needs_dejavu, write_locked

SHEET_MM = {"horizontal": (210.0, 297.0), "vertical": (297.0, 210.0)}


def made(
    folder: Path, *texts: CardText, direction: str = "horizontal", fold: str | None = None, **more: object
) -> tuple[Path, list[PlacedText]]:
    card = Card(stock="S", printer="P", fold=fold, texts=texts, folder=folder, **more)
    sheet = make_card(card, stock(direction), printer(), folder / "card.pdf")  # type: ignore[arg-type]
    return folder / "card.pdf", [text for face in sheet.faces for text in face.texts]


@contextmanager
def first_page(path: Path) -> Iterator[pypdfium2.PdfTextPage]:
    with pypdfium2.PdfDocument(path) as pdf:
        page = pdf[0]
        text = page.get_textpage()
        yield text
        text.close()
        page.close()


def outlines_mm(text: PlacedText) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of each glyph that has ink, on the sheet, by HarfBuzz' extents."""
    found = []
    for run in text.runs:
        em = run.size_pt * MM_PER_POINT / run.font.per_em
        for glyph in run.glyphs:
            extents = run.font.shaper.get_glyph_extents(glyph.gid)
            if not extents.width:
                continue
            x, y = glyph.x_mm + extents.x_bearing * em, glyph.y_mm - extents.y_bearing * em
            corners = [
                text.frame.point_on_sheet(x, y),
                text.frame.point_on_sheet(x + extents.width * em, y - extents.height * em),
            ]
            (x1, y1), (x2, y2) = corners
            found.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
    return found


def boxes_mm(page: pypdfium2.PdfTextPage, height_mm: float) -> list[tuple[float, float, float, float]]:
    """The same of each character that is seen, as PDFium reports it."""
    found = []
    for number in range(page.count_chars()):
        left, bottom, right, top = page.get_charbox(number)
        if page.get_text_range(number, 1).strip() and right > left:
            found.append(
                (
                    left * MM_PER_POINT,
                    height_mm - top * MM_PER_POINT,
                    right * MM_PER_POINT,
                    height_mm - bottom * MM_PER_POINT,
                )
            )
    return found


@pytest.mark.parametrize("face", ["sans", "serif"])
@pytest.mark.parametrize(
    ("direction", "fold"),
    [("horizontal", "top"), ("horizontal", "left"), ("vertical", "left"), ("vertical", "top")],
)
def test_each_character_stands_where_harfbuzz_puts_it(
    tmp_path: Path, direction: str, fold: str, face: str
) -> None:
    path, texts = made(
        tmp_path,
        CardText(panel="back", text="AVATAR, To Wave at Yule", size_pt=20, face=face),
        direction=direction,
        fold=fold,
    )
    with first_page(path) as page:
        read = boxes_mm(page, SHEET_MM[direction][1])
    wanted = outlines_mm(texts[0])
    assert len(read) == len(wanted)
    # PDFium rounds its boxes to the font's thousandths of an em, 0.007 mm at this size, and raises the head of each by
    # a 64th of its height; the other three edges are the glyph's own. Heads are compared on the page drawn, below.
    head = {0: 1, 90: 2, 180: 3, 270: 0}[texts[0].frame.turn_deg]
    apart = np.delete(np.abs(np.array(read) - np.array(wanted)), head, axis=1)
    assert apart.max() < 0.02


@pytest.mark.parametrize(
    ("text", "face"),
    [
        ("Printed by hand at the harbour", "sans"),
        ("office fjord — “Grüße”, ½", "serif"),
        ("Привет, мир", "serif"),
        ("Γειά σου", "serif"),
    ],
)
def test_what_is_written_is_found(tmp_path: Path, text: str, face: str) -> None:
    path, _ = made(tmp_path, CardText(panel="front", text=text, face=face, size_pt=14))
    with first_page(path) as page:
        assert page.get_text_range().strip() == text


@needs_dejavu
@pytest.mark.parametrize(
    "text", ["שלום עולם", "(2025) שלום [עולם] hello", "مرحبا بالعالم", "السلام عليكم ١٢٣"]
)
def test_what_runs_from_the_right_is_found_in_reading_order(tmp_path: Path, text: str) -> None:
    path, _ = made(tmp_path, CardText(panel="front", text=text, size_pt=20))
    with first_page(path) as page:
        found = page.get_text_range().strip()
    assert found.split() == text.split()


def test_lines_are_found_from_the_top_down(tmp_path: Path) -> None:
    path, _ = made(tmp_path, CardText(panel="front", text="first line\nsecond line\n\nfourth line"))
    with first_page(path) as page:
        assert page.get_text_range().split("\r\n") == ["first line", "second line", "fourth line"]


def font_files(path: Path) -> dict[str, bytes]:
    """The first page's fonts: their names and embedded files."""
    with pikepdf.open(path) as pdf:
        found = {}
        for font in pdf.pages[0].Resources.Font.values():
            descriptor = font.DescendantFonts[0].FontDescriptor
            file = descriptor.FontFile3 if "/FontFile3" in descriptor else descriptor.FontFile2
            found[str(font.BaseFont)] = file.read_bytes()
        return found


def test_fonts_are_embedded_and_cut_down(tmp_path: Path) -> None:
    path, _ = made(
        tmp_path,
        CardText(panel="back", text="harbour"),
        CardText(panel="front", text="harbour", face="serif"),
    )
    files = font_files(path)
    # ISO 32000-1, 9.6.4: six capitals and a plus before a subset's name.
    assert all(re.fullmatch(r"/[A-Z]{6}\+[A-Za-z-]+", name) for name in files)
    sans, serif = (files[name] for name in sorted(files, key=lambda name: name.split("+")[1]))
    assert sorted(name.split("+")[1] for name in files) == ["Cabin-Regular", "Vollkorn-Regular"]
    assert len(sans) < len(typeface("sans").data) / 10
    quadratic = TTFont(io.BytesIO(serif))
    drawn = [name for name in quadratic.getGlyphOrder() if quadratic["glyf"][name].numberOfContours > 0]
    assert len(drawn) == len(set("harbour")) + 1  # and the sign for what is missing


def test_a_font_that_forbids_subsets_is_embedded_whole(tmp_path: Path) -> None:
    font = write_locked(tmp_path / "mine.ttf", 0x0100)  # OpenType 1.9, fsType bit 8: no subsetting
    path, _ = made(
        tmp_path,
        CardText(panel="back", text="harbour", face="mine"),
        fonts=({"name": "mine", "file": "mine.ttf"},),
    )
    (embedded,) = font_files(path).values()
    assert TTFont(io.BytesIO(embedded))["glyf"].glyphs.keys() == TTFont(font)["glyf"].glyphs.keys()


def test_same_words_same_bytes(tmp_path: Path) -> None:
    words = CardText(panel="back", text="harbour ǎ́", face="serif")
    first = made(tmp_path, words)[0].read_bytes()
    assert made(tmp_path, words)[0].read_bytes() == first


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_the_page_drawn_and_the_tiff_have_their_letters_in_the_same_place(tmp_path: Path, turn: int) -> None:
    """PDFium draws the PDF; the TIFF is drawn by the project from the same glyphs. To 0.02 mm, at 1200 ppi."""
    words = CardText(panel="back", text="AVATAR quay, ǎ́ ﬁn", size_pt=11, face="serif", turn=turn)
    card = Card(stock="S", printer="P", texts=(words,), folder=tmp_path)
    machine = printer(grid_ppi=1200)
    small = stock().model_copy(
        update={"open_size_mm": (105.0, 148.0), "creases": (Crease(direction="horizontal", at_mm=74),)}
    )
    sheet = make_card(card, small, machine, tmp_path / "card.pdf")
    make_card(card, small, machine, tmp_path / "card.tif")
    box = sheet.faces[0].texts[0].box_mm.shrunk(-2)
    with pypdfium2.PdfDocument(tmp_path / "card.pdf") as pdf:
        scale = 1200 / 72
        page = pdf[0]
        width, height = page.get_size()
        crop = (
            box.x / MM_PER_POINT,
            height - box.bottom / MM_PER_POINT,
            width - box.right / MM_PER_POINT,
            box.y / MM_PER_POINT,
        )
        drawn = np.asarray(
            page.render(scale=scale, crop=crop, grayscale=True).to_pil().convert("L"), dtype=float
        )
        page.close()
    left, top = round(box.x * 1200 / 25.4), round(box.y * 1200 / 25.4)
    with Image.open(tmp_path / "card.tif") as image:
        laid = np.asarray(
            image.convert("L").crop((left, top, left + drawn.shape[1], top + drawn.shape[0])), float
        )
    ink_drawn, ink_laid = 255 - drawn, 255 - laid
    assert ink_laid.sum() == pytest.approx(ink_drawn.sum(), rel=0.03)
    for axis, count in ((0, ink_laid.shape[1]), (1, ink_laid.shape[0])):
        places = np.arange(count)
        middles = [(ink.sum(axis=axis) * places).sum() / ink.sum() for ink in (ink_drawn, ink_laid)]
        # The crop's own corner lies up to half a pixel off, which is 0.011 mm.
        assert abs(middles[0] - middles[1]) * 25.4 / 1200 < 0.02
