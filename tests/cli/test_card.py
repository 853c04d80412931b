"""``tackside card make``: from a photograph and a card file to a print-ready sheet."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from tackside.cautions import BLADES, DAMP_FINGERS, HEAD_STRIKE, SMALL_PARTS
from tackside.messages.wording import documents
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.run.files import CARD as PLAIN
from tests.run.files import PHOTOGRAPH

CARD = f"""{PLAIN}[[texts]]
panel = "back"
text = "Printed by hand at the harbour"
size_pt = 8
"""


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "card.toml").write_text(CARD, encoding="utf-8")
    return caller


def test_a_pdf_of_the_open_sheet(call: Caller, tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    document = call.document("card", "make", tmp_path / "card.toml", "--out", out)
    assert document["files"] == [str(out)]
    boxes = document["boxes_mm"]
    assert boxes["sheet"] == [0, 0, 210, 297]
    assert boxes["panels"]["front"]["trim"] == [0, 148.5, 210, 148.5]
    assert boxes["panels"]["back"]["turn_deg"] == 180
    assert boxes["pictures"][0]["box"] == pytest.approx([12, 160.5, 186, 124.5])
    assert boxes["texts"][0]["panel"] == "back"
    soft = next(each for each in document["warnings"] if each["code"] == "card-remark.clearly-soft")
    assert set(soft) == {"code", "values", "text"}
    assert soft["values"]["part"] == {"record": "card", "path": ["pictures", 0]}
    assert f"{soft['values']['ppi']:.0f} pixels an inch" in soft["text"]
    with pikepdf.open(out) as pdf:
        assert len(pdf.pages) == 1


def test_who_makes_a_card_is_told_what_can_hurt(call: Caller, tmp_path: Path) -> None:
    making = ("card", "make", tmp_path / "card.toml", "--out", tmp_path / "card.pdf", "--force")
    printing = (HEAD_STRIKE, DAMP_FINGERS)
    assert call.document(*making)["cautions"] == documents((*printing, SMALL_PARTS))
    (tmp_path / "card.toml").write_text(f"cut_to_mm = [190, 277]\n{CARD}", encoding="utf-8")
    assert call.document(*making)["cautions"] == documents((*printing, BLADES, SMALL_PARTS))
    said = call.text(*making)
    for caution in (*printing, BLADES, SMALL_PARTS):
        assert str(caution) in said


def test_the_second_side_guide_says_what_can_hurt(call: Caller, tmp_path: Path) -> None:
    guide = tmp_path / "guide.pdf"
    for size in (("210", "297"), ("105", "148")):
        told = call.document("card", "second-side", "Tern 8", "--out", guide, "--size-mm", *size, "--force")
        assert told["cautions"] == documents((HEAD_STRIKE, DAMP_FINGERS))
        first = " ".join(pypdfium2.PdfDocument(guide)[0].get_textpage().get_text_range().split())
        assert f"{HEAD_STRIKE} {DAMP_FINGERS}" in first


def test_a_tiff_at_the_printers_grid(call: Caller, tmp_path: Path) -> None:
    out = tmp_path / "card.tif"
    call.document("card", "make", tmp_path / "card.toml", "--out", out)
    with Image.open(out) as image:
        # ISO 216: A4 at the example printer's 600 ppi.
        assert image.size == (4961, 7016)
        pixels = np.asarray(image)
    # The photograph's wood is warm all over the front, the back is white but for its line of text.
    front = pixels[3900:6600, 400:4500]
    assert front[..., 0].mean() > front[..., 2].mean() + 40
    assert (pixels[:1500] == 255).mean() > 0.99


def test_a_person_is_told_files_and_warnings(call: Caller, tmp_path: Path) -> None:
    said = call.text("card", "make", tmp_path / "card.toml", "--out", tmp_path / "card.pdf")
    assert "print at 100 %" in said
    assert "taken for sRGB" in said


def test_the_inside_is_a_second_page_or_file(call: Caller, tmp_path: Path) -> None:
    inside = CARD + '[[texts]]\npanel = "inside-right"\ntext = "With love"\n'
    (tmp_path / "card.toml").write_text(inside, encoding="utf-8")
    said = call.document("card", "make", tmp_path / "card.toml", "--out", tmp_path / "card.tif")
    assert said["faces"] == {
        "outside": str(tmp_path / "card.tif"),
        "inside": str(tmp_path / "card-inside.tif"),
    }
    assert all(Path(file).exists() for file in said["files"])


def test_faults_are_one_line_and_leave_nothing(call: Caller, tmp_path: Path) -> None:
    card, out = tmp_path / "card.toml", tmp_path / "card.pdf"
    assert "neither a PDF nor a TIFF" in call.refusal("card", "make", card, "--out", tmp_path / "card.doc")
    card.write_text(CARD.replace("coffee.png", "tea.png"), encoding="utf-8")
    assert "tea.png" in call.refusal("card", "make", card, "--out", out)
    card.write_text(CARD.replace("Harbour Satin 300", "Harbour Satin 30"), encoding="utf-8")
    assert "Harbour Satin 30" in call.refusal("card", "make", card, "--out", out)
    assert "there is no file" in call.refusal("card", "make", tmp_path / "none.toml", "--out", out)
    assert not out.exists()
