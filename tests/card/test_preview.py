"""The preview, the folded view and the second-side guide, as a person gets them from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from tackside.bench.repositories.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.cli.main import main
from tests.card.designs import BLUE, GREEN, RED, YELLOW, printer, stock, write_corners

CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"
[[pictures]]
panel = "front"
file = "corners.png"
border_mm = 12
[[pictures]]
panel = "inside-left"
file = "corners.png"
border_mm = 12
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_corners(tmp_path)
    (tmp_path / "card.toml").write_text(CARD)
    bench = Bench.open(tmp_path / "bench")
    for shelf, record in ((bench.stocks, stock("horizontal")), (bench.printers, printer())):
        source = tmp_path / "record.toml"
        source.write_text("")
        shelf.add(record, source)
    return tmp_path


def run(folder: Path, *arguments: str) -> int:
    return main(["--bench", str(folder / "bench"), "card", *arguments])


def corners_of(
    pixels: np.ndarray, box: tuple[int, int, int, int], near: int = 6
) -> list[tuple[int, ...] | None]:
    """The nearest of the four colours at the corners of a box, clockwise from the top left."""
    left, top, right, bottom = box
    places = ((left, top, 1, 1), (right, top, -1, 1), (right, bottom, -1, -1), (left, bottom, 1, -1))
    found = []
    for x, y, dx, dy in places:
        seen = pixels[y + dy * near, x + dx * near].astype(int)
        found.append(next((c for c in (RED, GREEN, BLUE, YELLOW) if np.abs(seen - c).max() <= 8), None))
    return found


def boxes_of_pictures(pixels: np.ndarray) -> list[tuple[int, int, int, int]]:
    """Where strongly coloured areas lie, from the left: left, top, right, bottom."""
    strong = (pixels.max(axis=2).astype(int) - pixels.min(axis=2)) > 100
    columns = np.flatnonzero(strong.sum(axis=0) > 50)
    breaks = np.flatnonzero(np.diff(columns) > 20)
    found = []
    for part in np.split(columns, breaks + 1):
        if len(part) < 100:  # a line drawn on the sheet
            continue
        rows = np.flatnonzero(strong[:, part[0] : part[-1] + 1].mean(axis=1) > 0.6)
        found.append((int(part[0]), int(rows[0]), int(part[-1]), int(rows[-1])))
    return found


def test_the_folded_view_shows_every_picture_upright(folder: Path) -> None:
    assert run(folder, "preview", str(folder / "card.toml"), "--folded", "--out", str(folder / "f.png")) == 0
    pixels = np.asarray(Image.open(folder / "f.png").convert("RGB"))
    front, inside = boxes_of_pictures(pixels)
    for box in (front, inside):
        assert corners_of(pixels, box) == [RED, GREEN, YELLOW, BLUE]
    # Opened upwards: the picture on the upper of the two inside panels, as wide as on the front.
    assert inside[3] < front[3]
    assert inside[2] - inside[0] == pytest.approx(front[2] - front[0], abs=2)


def test_the_preview_shows_the_sheet_as_it_is_fed(folder: Path) -> None:
    assert run(folder, "preview", str(folder / "card.toml"), "--out", str(folder / "p.png")) == 0
    pixels = np.asarray(Image.open(folder / "p.png").convert("RGB"))
    outside, inside = boxes_of_pictures(pixels)
    # The front stands upright below the crease; what is inside a top fold stands on its head.
    assert corners_of(pixels, outside, 20) == [RED, GREEN, YELLOW, BLUE]
    assert corners_of(pixels, inside, 20) == [YELLOW, BLUE, RED, GREEN]
    # 186 mm wide on a sheet of 297 mm that is 1180 pixels long.
    assert outside[2] - outside[0] == pytest.approx(186 * 1180 / 297, abs=3)


@pytest.mark.parametrize("folded", [[], ["--folded"]])
def test_same_card_same_picture(folder: Path, folded: list[str]) -> None:
    drawn = []
    for name in ("one.png", "two.png"):
        assert run(folder, "preview", str(folder / "card.toml"), *folded, "--out", str(folder / name)) == 0
        drawn.append((folder / name).read_bytes())
    assert drawn[0] == drawn[1]


def test_a_preview_is_a_png(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "preview", str(folder / "card.toml"), "--out", str(folder / "p.gif")) == 2
    assert "end the name of --out in .png" in capsys.readouterr().err


def test_the_guide_numbers_its_corners_clockwise(folder: Path) -> None:
    assert run(folder, "second-side", "Tern 8", "--out", str(folder / "guide.pdf")) == 0
    document = pypdfium2.PdfDocument(folder / "guide.pdf")
    try:
        first, second = document
        width, height = first.get_size()
        assert (width, height) == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
        corner = {
            "1": (0, height * 0.8, width / 4, height),
            "2": (width * 3 / 4, height * 0.8, width, height),
            "3": (width * 3 / 4, 0, width, height / 5),
            "4": (0, 0, width / 4, height / 5),
        }
        for number, box in corner.items():
            assert first.get_textpage().get_text_bounded(*box).strip() == number
        assert second.get_textpage().get_text_bounded(*corner["1"]).strip() == "A"
        assert second.get_textpage().get_text_bounded(*corner["3"]).strip() == ""
    finally:
        document.close()


def test_the_answer_is_remembered_and_turns_the_inside_page(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def inside_matrices() -> list[list[float]]:
        assert (
            run(folder, "make", str(folder / "card.toml"), "--out", str(folder / "card.pdf"), "--force") == 0
        )
        with pikepdf.open(folder / "card.pdf") as pdf:
            found = pikepdf.parse_content_stream(pdf.pages[1])
            return [[float(o) for o in i.operands] for i in found if str(i.operator) == "cm"]

    straight = inside_matrices()
    assert run(folder, "second-side", "Tern 8", "--behind", "4") == 0
    kept = second_side_of(folder / "bench", "Tern 8", "rear")
    assert kept is not None
    assert kept.half_turned
    assert len(inside_matrices()) == len(straight) + 1
    assert inside_matrices()[0][:4] == [-1, 0, 0, -1]
    assert run(folder, "second-side", "Tern 8", "--behind", "2") == 0
    assert inside_matrices() == straight
    capsys.readouterr()
    assert main(["--bench", str(folder / "bench"), "card", "second-side", "Tern 8", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["behind"], said["half_turned"], said["feed"]) == (2, False, "rear")


@pytest.mark.parametrize("number", ["1", "3"])
def test_a_sheet_that_was_not_turned_over_is_told_so(
    folder: Path, number: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "second-side", "Tern 8", "--behind", number) == 2
    assert "was not turned over" in capsys.readouterr().err
    assert second_side_of(folder / "bench", "Tern 8", "rear") is None


def test_damaged_answers_are_told_and_not_overwritten(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "bench" / "second-sides.json").write_text("{")
    assert run(folder, "second-side", "Tern 8", "--behind", "2") == 2
    assert "second-sides.json is damaged" in capsys.readouterr().err
    assert (folder / "bench" / "second-sides.json").read_text() == "{"
