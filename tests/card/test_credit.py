"""The credit: at the foot of its panel, its code read back by another library from what is drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from tackside.card.file.design import CREDIT, Card, CardCredit
from tackside.card.layout.texts import SAFE_MM
from tackside.card.make import make_card
from tackside.errors import BadRecord, DoesNotFit
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.units import Box
from tests.card.designs import printer, stock
from tests.refusals import refused

LINK = "https://example.org/cards/harbour?no=7&grüße"


def card(folder: Path, fold: str | None = None, background: str | None = None, **credit: object) -> Card:
    return Card(
        stock="S",
        printer="P",
        fold=fold,  # type: ignore[arg-type]
        background=background,
        credit=CardCredit(**credit),  # type: ignore[arg-type]
        folder=folder,
    )


@pytest.mark.parametrize("background", [None, "#305070"])
@pytest.mark.parametrize(
    ("direction", "fold"),
    [("horizontal", "top"), ("horizontal", "left"), ("vertical", "left"), ("vertical", "top")],
)
def test_the_code_is_read_back_from_pixels_and_page(
    tmp_path: Path, direction: str, fold: str, background: str | None
) -> None:
    """ISO/IEC 18004, read by zxing-cpp."""
    design = card(tmp_path, fold, background, text="By hand", qr=LINK, qr_mm=20)
    machine = printer(grid_ppi=300)
    sheet = make_card(design, stock(direction), machine, tmp_path / "card.tif")  # type: ignore[arg-type]
    make_card(design, stock(direction), machine, tmp_path / "card.pdf")  # type: ignore[arg-type]
    with Image.open(tmp_path / "card.tif") as image:
        laid = np.asarray(image.convert("L"))
    with pypdfium2.PdfDocument(tmp_path / "card.pdf") as pdf:
        page = pdf[0]
        drawn = np.asarray(page.render(scale=300 / 72, grayscale=True).to_pil().convert("L"))
        page.close()
    box = sheet.faces[0].codes[0].box_mm
    for pixels in (laid, drawn):
        (found,) = zxingcpp.read_barcodes(pixels)
        assert found.text == LINK
        corners = [
            (point.x * 25.4 / 300, point.y * 25.4 / 300)
            for point in (found.position.top_left, found.position.bottom_right)
        ]
        across = sorted(edge for x, _ in corners for edge in (x,))
        assert across == pytest.approx([box.x, box.right], abs=0.5)


@pytest.mark.parametrize(
    ("direction", "fold"), [("horizontal", "top"), ("vertical", "left"), ("horizontal", "left")]
)
def test_text_stands_at_the_foot_and_the_code_over_it(tmp_path: Path, direction: str, fold: str) -> None:
    design = card(tmp_path, fold, text="By hand\nNo. 7", qr=LINK)
    sheet = make_card(design, stock(direction), printer(), tmp_path / "card.pdf")  # type: ignore[arg-type]
    face = sheet.faces[0]
    back = face.zones["back"]
    text, code = face.texts[0].box_mm, face.codes[0].box_mm
    margin = {"horizontal": 3.4, "vertical": 5.0}[direction]
    # As its reader sees it, the foot of a back that stands on its head as fed is its upper edge there.
    foot = {0: back.trim.bottom - text.bottom, 180: text.y - back.trim.y, 90: text.x - back.trim.x}[
        back.turn_deg
    ]
    assert foot == pytest.approx(SAFE_MM + margin, abs=3)
    assert foot >= SAFE_MM + 3
    assert text.intersection(code) is None
    middle = code.centre[0 if back.turn_deg in (0, 180) else 1]
    assert middle == pytest.approx(back.trim.centre[0 if back.turn_deg in (0, 180) else 1])
    assert Box(*back.trim).contains(code)


def test_a_code_without_room_or_too_much_to_say_is_refused(tmp_path: Path) -> None:
    tiny = stock().model_copy(update={"open_size_mm": (60.0, 90.0), "creases": ()})
    with refused(DoesNotFit, "card.code-without-room", code_mm=58, panel=Message("panel.back")) as caught:
        make_card(card(tmp_path, qr=LINK, qr_mm=58), tiny, printer(), tmp_path / "card.pdf")
    assert caught.value.place == Place("card", ("credit", "qr_mm"))
    long = CardCredit(qr="x" * 500)
    huge = long.model_copy(update={"qr": "\u00e9" * 3000})
    with refused(BadRecord, "card.code-too-long") as caught:
        make_card(
            card(tmp_path, qr="x").model_copy(update={"credit": huge}), stock(), printer(), tmp_path / "c.pdf"
        )
    assert caught.value.place == Place("card", ("credit", "qr"))


def test_small_modules_and_pale_codes_are_warned_about(tmp_path: Path) -> None:
    made = make_card(
        card(tmp_path, qr=LINK, qr_mm=8, colour="#cccccc"), stock(), printer(), tmp_path / "card.pdf"
    )
    said = {each.code: each for each in made.warnings}
    # Version 4 (33 modules) holds 50 bytes at level M (docs/sources.md, S87): 8 mm ÷ 33 = 0.24 mm.
    fine = said["card-remark.code-too-fine"]
    assert fine.value("module_mm") == pytest.approx(8 / 33)
    assert fine.value("code_mm") == 13.2
    assert said["card-remark.code-too-pale"] == Message("card-remark.code-too-pale", part=CREDIT)
    calm = make_card(card(tmp_path, qr=LINK, qr_mm=13.2), stock(), printer(), tmp_path / "card.pdf")
    assert "card-remark.code-too-fine" not in {each.code for each in calm.warnings}


def test_a_code_on_a_coloured_ground_gets_a_white_one(tmp_path: Path) -> None:
    bare = make_card(card(tmp_path, qr=LINK), stock(), printer(), tmp_path / "card.pdf")
    on_blue = make_card(
        card(tmp_path, background="#305070", qr=LINK), stock(), printer(), tmp_path / "card.pdf"
    )
    assert bare.faces[0].codes[0].ground is None
    assert on_blue.faces[0].codes[0].ground == (1.0, 1.0, 1.0)
