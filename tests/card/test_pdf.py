"""The PDF by ISO 32000-1: boxes, profiled pictures, real text; read back with pikepdf, and drawn where
poppler is there.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import zlib
from decimal import Decimal
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from tackside.card import Card, CardPicture, CardText, make_card
from tackside.card.typeface import typeface
from tackside.profile import working_space_profile
from tests.card.designs import BLUE, GREEN, RED, YELLOW, colour_at, printer, stock, write_corners

POINT = 25.4 / 72
WHITE = (255, 255, 255)


def made(folder: Path, direction: str = "horizontal", fold: str | None = None, space: str = "srgb") -> Path:
    write_corners(folder)
    card = Card(
        stock="Harbour Satin 300",
        printer="Tern 8",
        fold=fold,
        space=space,
        pictures=(
            CardPicture(panel="front", file="corners.png", border_mm=10),
            CardPicture(panel="inside-left", file="corners.png", fit="fit", border_mm=20),
        ),
        texts=(
            CardText(panel="back", text="Printed by hand at the harbour\nAVA", size_pt=8),
            CardText(panel="back", text="Zweite Schrift: ß", face="serif", place="foot"),
        ),
        folder=folder,
    )
    make_card(card, stock(direction), printer(), folder / "card.pdf")
    return folder / "card.pdf"


def test_boxes_are_the_sheet_to_a_hundredth_of_a_millimetre(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        assert len(pdf.pages) == 2
        for page in pdf.pages:
            for box in (page.MediaBox, page.TrimBox):
                edges = [float(edge) * POINT for edge in box]
                assert edges == pytest.approx([0, 0, 210, 297], abs=0.01)
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"


def operators(page: pikepdf.Page) -> list[tuple[list[object], str]]:
    return [(list(i.operands), str(i.operator)) for i in pikepdf.parse_content_stream(page)]


@pytest.mark.parametrize(
    ("direction", "fold", "front_centre", "right"),
    [
        ("horizontal", "top", (105, 222.75), (1, 0)),
        ("horizontal", "left", (105, 222.75), (0, -1)),
        ("vertical", "left", (222.75, 105), (1, 0)),
        ("vertical", "top", (222.75, 105), (0, 1)),
    ],
)
def test_the_picture_lies_on_the_front_with_its_turn(
    tmp_path: Path, direction: str, fold: str, front_centre: tuple[float, float], right: tuple[int, int]
) -> None:
    with pikepdf.open(made(tmp_path, direction, fold)) as pdf:
        matrix = next(ops for ops, name in operators(pdf.pages[0]) if name == "cm")
        a, b, c, d, e, f = (float(value) * POINT for value in matrix)  # type: ignore[arg-type]
        height = float(pdf.pages[0].MediaBox[3]) * POINT
        centre = (e + (a + c) / 2, height - f - (b + d) / 2)
        assert centre == pytest.approx(front_centre, abs=0.01)
        wide = np.hypot(a, b)
        assert (a / wide, b / wide) == pytest.approx(right)
        # A5 less 10 mm on every side, whichever way up.
        assert sorted((wide, np.hypot(c, d))) == pytest.approx([128.5, 190], abs=0.01)
        assert a * d - b * c > 0  # not mirrored


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_pictures_and_text_carry_the_working_space(tmp_path: Path, space: str) -> None:
    with pikepdf.open(made(tmp_path, space=space)) as pdf:
        page = pdf.pages[0]
        image = page.Resources.XObject["/Picture1"]
        for colours in (image.ColorSpace, page.Resources.ColorSpace["/Working"]):
            assert colours[0] == "/ICCBased"
            assert colours[1].N == 3
            assert colours[1].read_bytes() == working_space_profile(space)
        assert "cs" in [name for _, name in operators(page)]


def test_pixels_are_lossless(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        image = pikepdf.PdfImage(pdf.pages[0].Resources.XObject["/Picture1"])
        pixels = np.asarray(image.as_pil_image())
        # 600 × 400 cropped to 190 : 128.5 keeps the full height; the file has fewer pixels than the grid
        # wants.
        assert pixels.shape == (400, 591, 3)
        assert tuple(pixels[3, 3]) == RED
        assert tuple(pixels[-3, -3]) == YELLOW


def test_text_can_be_found_and_its_fonts_are_inside(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        fonts = pdf.pages[0].Resources.Font
        assert set(fonts.keys()) == {"/Cabin-Regular", "/Vollkorn-Regular"}
        sans, serif = fonts["/Cabin-Regular"], fonts["/Vollkorn-Regular"]
        assert (
            sans.DescendantFonts[0].FontDescriptor.FontFile3.read_bytes() == typeface("sans").tables["CFF "]
        )
        assert serif.DescendantFonts[0].FontDescriptor.FontFile2.read_bytes() == typeface("serif").data
        meaning = {
            int(glyph, 16): bytes.fromhex(code).decode("utf-16-be")
            for glyph, code in re.findall(r"<(\w{4})> <(\w+)>", sans.ToUnicode.read_bytes().decode())
            if glyph != "0000" or code != "FFFF"
        }
        shown = []
        for operands, name in operators(pdf.pages[0]):
            if name == "TJ":
                # type: ignore[attr-defined]
                codes = b"".join(bytes(part) for part in operands[0] if isinstance(part, pikepdf.String))
                shown.append([int.from_bytes(codes[i : i + 2]) for i in range(0, len(codes), 2)])
        assert "".join(meaning[glyph] for glyph in shown[0]) == "Printed by hand at the harbour"


def test_each_line_begins_where_centring_puts_it(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        matrices = [ops for ops, name in operators(pdf.pages[0]) if name == "Tm"]
        a, _, _, _, e, f = (float(value) for value in matrices[0])  # type: ignore[arg-type]
        assert a == -1  # the back of a top fold stands on its head
        half = typeface("sans").width_em("Printed by hand at the harbour") * 8 / 2
        assert (e - half) * POINT == pytest.approx(105, abs=0.01)
        height = float(pdf.pages[0].MediaBox[3])
        assert (height - f) * POINT == pytest.approx(148.5 / 2, abs=3)


def test_same_card_same_bytes(tmp_path: Path) -> None:
    first = made(tmp_path).read_bytes()
    assert made(tmp_path).read_bytes() == first


def test_text_colour_is_black_and_streams_are_whole(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        assert ([Decimal(0)] * 3, "scn") in [
            ([Decimal(v) for v in o], n) for o, n in operators(pdf.pages[0]) if n == "scn"
        ]  # type: ignore[arg-type]
        raw = pdf.pages[0].Resources.XObject["/Picture1"].read_raw_bytes()
        # PNG rows: one filter byte before each (PNG specification, 9.2).
        assert len(zlib.decompress(raw)) == 400 * (591 * 3 + 1)
        assert pdf.check_pdf_syntax() == []


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler's pdftoppm is not on this machine")
@pytest.mark.parametrize(
    ("direction", "fold", "corners"),
    [
        ("horizontal", "top", (RED, GREEN, YELLOW, BLUE)),
        ("horizontal", "left", (BLUE, RED, GREEN, YELLOW)),
        ("vertical", "top", (GREEN, YELLOW, BLUE, RED)),
    ],
)
def test_an_independent_renderer_draws_what_the_tiff_holds(
    tmp_path: Path, direction: str, fold: str, corners: tuple[tuple[int, int, int], ...]
) -> None:
    file = made(tmp_path, direction, fold)
    subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-f", "1", "-l", "1", str(file), str(tmp_path / "page")], check=True
    )
    drawn = np.asarray(Image.open(next(tmp_path.glob("page*.png"))).convert("RGB"))
    left, top = (0.0, 148.5) if direction == "horizontal" else (148.5, 0.0)
    width, height = (210.0, 148.5) if direction == "horizontal" else (148.5, 210.0)
    near = 12.0
    places = ((near, near), (width - near, near), (width - near, height - near), (near, height - near))
    assert tuple(colour_at(drawn, left + x, top + y, 150) for x, y in places) == corners
    assert colour_at(drawn, left + 8, top + 8, 150) == WHITE


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler's pdftoppm is not on this machine")
@pytest.mark.parametrize(
    ("direction", "fold"), [("horizontal", "top"), ("horizontal", "left"), ("vertical", "top")]
)
def test_text_of_pdf_and_tiff_lies_in_the_same_place(tmp_path: Path, direction: str, fold: str) -> None:
    text = CardText(panel="back", text="Printed by hand at the harbour, AVATAR", size_pt=11)
    card = Card(stock="S", printer="P", fold=fold, texts=(text,), folder=tmp_path)
    machine = printer(grid_ppi=600)
    made = make_card(card, stock(direction), machine, tmp_path / "card.pdf")
    make_card(card, stock(direction), machine, tmp_path / "card.tif")
    subprocess.run(
        ["pdftoppm", "-r", "600", "-gray", str(tmp_path / "card.pdf"), str(tmp_path / "page")], check=True
    )
    drawn = ink_box(np.asarray(Image.open(next(tmp_path.glob("page*.pgm")))))
    laid = ink_box(np.asarray(Image.open(tmp_path / "card.tif").convert("L")))
    assert drawn == pytest.approx(laid, abs=0.1)
    # And both inside the box that is reported, which reaches from ascender to descender.
    x, y, w, h = made.faces[0].texts[0].box_mm
    assert laid[0] > x - 0.3
    assert laid[1] > y - 0.1
    assert laid[2] < x + w + 0.3
    assert laid[3] < y + h + 0.1


def ink_box(grey: np.ndarray) -> tuple[float, ...]:
    """Left, top, right and bottom of all that is darker than the middle, in mm at 600 ppi."""
    rows, columns = np.nonzero((grey < 128).any(axis=1))[0], np.nonzero((grey < 128).any(axis=0))[0]
    return tuple(edge * 25.4 / 600 for edge in (columns[0], rows[0], columns[-1] + 1, rows[-1] + 1))
