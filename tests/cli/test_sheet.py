"""``tackside sheet``: files first, then the trial; one line and nothing written where something is wrong."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE, SMUDGE
from tackside.cli.main import main
from tackside.records import Feed, Margins, Printer, Stock

# Invented, like every name here.
STOCK = Stock(
    name="Harbour Satin 300", open_size_mm=(105, 148), caliper_mm=0.32, weight_gsm=300, coated="front"
)
PRINTER = Printer(
    name="Tern 8",
    grid_ppi=300,
    feeds=(
        Feed(
            name="rear",
            min_size_mm=(89, 127),
            max_size_mm=(329, 1000),
            max_caliper_mm=0.6,
            margins_mm=Margins(top=3, bottom=5, left=3.4, right=3.4),
        ),
    ),
)


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    shelves = Bench.open(folder)
    shelves.stocks.add(STOCK)
    shelves.printers.add(PRINTER)
    return folder


def run(bench: Path, *words: str) -> int:
    return main(["--bench", str(bench), "sheet", STOCK.name, PRINTER.name, *words])


def document(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    return json.loads(capsys.readouterr().out)


def test_a_sheet_makes_a_file_and_a_trial(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "sheet.tif"
    assert run(bench, "--out", str(file), "--media", "Photo satin", "--json") == 0
    said = document(capsys)
    assert said["files"] == [str(file)]
    assert said["ppi"] == 300
    assert said["size_px"] == [1240, 1748]
    assert {panel["name"] for panel in said["panels"]} == {"front"}
    for patch in said["patches"]:
        assert set(patch) == {"name", "rgb", "box_mm"}
        assert all(0 <= value <= 1 for value in patch["rgb"])
    trial = Bench.open(bench).trials.get(said["trial"])
    assert trial.settings.media_setting == "Photo satin"
    assert trial.settings.source_space == "srgb"
    assert trial.sheet.tags[0].text == f"TACKSIDE/1/{said['trial']}"
    assert [patch.name for patch in trial.sheet.patches] == [patch["name"] for patch in said["patches"]]
    assert pyvips.Image.new_from_file(str(file)).width == 1240


def test_one_trial_may_have_a_tiff_and_a_pdf(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = [tmp_path / "sheet.tiff", tmp_path / "sheet.pdf"]
    assert run(bench, "--out", str(files[0]), "--out", str(files[1]), "--purpose", "device", "--json") == 0
    assert len(Bench.open(bench).trials.list()) == 1
    assert document(capsys)["space"] is None
    with pikepdf.open(files[1]) as pdf:
        assert len(pdf.pages) == 1
    assert "icc-profile-data" not in pyvips.Image.new_from_file(str(files[0])).get_fields()


def test_the_same_history_gives_the_same_bytes(tmp_path: Path) -> None:
    files = []
    for name in ("one", "two"):
        shelves = Bench.open(tmp_path / name)
        shelves.stocks.add(STOCK)
        shelves.printers.add(PRINTER)
        files.append(tmp_path / f"{name}.tif")
        assert run(tmp_path / name, "--out", str(files[-1])) == 0
    assert files[0].read_bytes() == files[1].read_bytes()


def test_the_text_says_how_to_print(bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(bench, "--out", str(tmp_path / "sheet.tif"), "--side", "back") == 0
    said = capsys.readouterr().out
    for words in ("100 %", "no scaling", "guides touching", "24 hours", "Borderless: off", "back side"):
        assert words in said
    for caution in (HEAD_STRIKE, DAMP_FINGERS, SMUDGE):
        assert str(caution) in " ".join(said.split())


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (["--out", "{}/sheet.png"], ".tif or .pdf"),
        (["--out", "{}/nowhere/sheet.tif"], "folder does not exist"),
        (["--out", "{}/sheet.tif", "--ppi", "20"], "ppi"),
        (["--out", "{}/sheet.tif", "--feed", "top"], "top"),
        (["--out", "{}/sheet.tif", "--out", "{}/nowhere/sheet.pdf"], "folder does not exist"),
        (["--out", "{}/sheet.tif", "--space", "wide"], "wide"),
        ([], "--out"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing_behind(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], fault: str
) -> None:
    before = sorted(path.name for path in tmp_path.iterdir())
    assert run(bench, *(word.format(tmp_path) for word in words)) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("tackside: ")
    assert said.err.count("\n") == 1
    assert fault in said.err
    assert sorted(path.name for path in tmp_path.iterdir()) == before
    assert Bench.open(bench).trials.list() == ()


def test_unknown_names_are_told(bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--bench", str(bench), "sheet", "Harbour Satin 30", "Tern 8", "--out", str(tmp_path / "a.tif")]
    assert main(words) == 2
    assert "Harbour Satin 300" in capsys.readouterr().err


def test_a_card_beyond_the_range_is_refused(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Bench.open(bench).stocks.add(STOCK.model_copy(update={"open_size_mm": (329.0, 600.0)}))
    assert run(bench, "--out", str(tmp_path / "sheet.tif")) == 2
    assert "cannot be made" in capsys.readouterr().err
    assert not (tmp_path / "sheet.tif").exists()
