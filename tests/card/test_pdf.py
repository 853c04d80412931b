"""The PDF by ISO 32000-1: boxes, profiled pictures, real text; read back with pikepdf, and drawn where
poppler is there.
"""

from __future__ import annotations

import shutil
import subprocess
import zlib
from decimal import Decimal
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.make import make_card
from tackside.profile.icc.working_space import working_space_profile
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
            for box in (page.MediaBox, page.TrimBox, page.BleedBox):
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
        page = operators(pdf.pages[0])
        height = float(pdf.pages[0].MediaBox[3]) * POINT
        # The picture is cut to its box: the rectangle before the operator W is the clipping path.
        cut = next(at for at, (_, name) in enumerate(page) if name == "W")
        x, y, w, h = (float(value) * POINT for value in page[cut - 1][0])  # type: ignore[arg-type]
        assert (x + w / 2, height - y - h / 2) == pytest.approx(front_centre, abs=0.01)
        # A5 less 10 mm on every side, whichever way up.
        assert sorted((w, h)) == pytest.approx([128.5, 190], abs=0.01)
        matrix = next(ops for ops, name in page if name == "cm")
        a, b, c, d, _, _ = (float(value) for value in matrix)  # type: ignore[arg-type]
        wide = np.hypot(a, b)
        assert (a / wide, b / wide) == pytest.approx(right)
        assert a * d - b * c > 0  # not mirrored


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_pictures_and_text_carry_the_working_space(tmp_path: Path, space: str) -> None:
    with pikepdf.open(made(tmp_path, space=space)) as pdf:
        page = pdf.pages[0]
        image = page.Resources.XObject["/Picture1"]
        for colours in (image.ColorSpace, page.Resources.ColorSpace["/Output"]):
            assert colours[0] == "/ICCBased"
            assert colours[1].N == 3
            assert colours[1].read_bytes() == working_space_profile(space)
        assert "cs" in [name for _, name in operators(page)]


def test_pixels_are_those_of_the_picture_and_no_finer_than_the_grid(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        image = pikepdf.PdfImage(pdf.pages[0].Resources.XObject["/Picture1"])
        pixels = np.asarray(image.as_pil_image())
        # 600 × 400 cropped to 190 : 128.5 shows 591.4 × 400 pixels, at 79 an inch; a few beside them are kept for
        # whoever resamples them.
        assert pixels.shape[0] == 400
        assert 592 <= pixels.shape[1] <= 600
        assert tuple(pixels[8, 8]) == RED
        assert tuple(pixels[-8, -8]) == YELLOW
    write_corners(tmp_path, "large.png", 3000, 2000)
    card = Card(
        stock="Harbour Satin 300",
        printer="Tern 8",
        pictures=(CardPicture(panel="front", file="large.png", border_mm=10),),
        folder=tmp_path,
    )
    make_card(card, stock(), printer(grid_ppi=150), tmp_path / "card.pdf")
    with pikepdf.open(tmp_path / "card.pdf") as pdf:
        image = pdf.pages[0].Resources.XObject["/Picture1"]
        grid = (190 / 25.4 * 150, 128.5 / 25.4 * 150)
        assert grid[0] <= image.Width <= grid[0] + 12
        assert grid[1] <= image.Height <= grid[1] + 12


def test_same_card_same_bytes(tmp_path: Path) -> None:
    first = made(tmp_path).read_bytes()
    assert made(tmp_path).read_bytes() == first


def test_text_colour_is_black_and_streams_are_whole(tmp_path: Path) -> None:
    with pikepdf.open(made(tmp_path)) as pdf:
        assert ([Decimal(0)] * 3, "scn") in [
            ([Decimal(v) for v in o], n) for o, n in operators(pdf.pages[0]) if n == "scn"
        ]  # type: ignore[arg-type]
        image = pdf.pages[0].Resources.XObject["/Picture1"]
        raw = image.read_raw_bytes()
        # PNG rows: one filter byte before each (PNG specification, 9.2).
        assert len(zlib.decompress(raw)) == image.Height * (image.Width * 3 + 1)
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
