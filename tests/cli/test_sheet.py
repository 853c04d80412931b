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


def test_the_sheet_for_a_profile_takes_as_many_sheets_as_it_needs(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--purpose", "device", "--patches", "200", "--patch-mm", "6.5"]
    assert (
        run(bench, "--out", str(tmp_path / "p.tif"), "--out", str(tmp_path / "p.pdf"), *words, "--json") == 0
    )
    said = document(capsys)
    assert said["pages"] == 2
    assert said["files"] == [str(tmp_path / name) for name in ("p-1.tif", "p-2.tif", "p.pdf")]
    assert len(said["patches"]) == 200
    assert {patch["page"] for patch in said["patches"]} == {1, 2}
    assert min(min(patch["box_mm"][2:]) for patch in said["patches"]) > 6.4
    assert not (tmp_path / "p.tif").exists()
    with pikepdf.open(tmp_path / "p.pdf") as pdf:
        assert len(pdf.pages) == 2
    pages = [pyvips.Image.new_from_file(str(tmp_path / f"p-{page}.tif")).numpy() for page in (1, 2)]
    assert (pages[0] != pages[1]).any()
    economy = said["remarks"][0]
    assert economy["code"] == "sheet.chart-economy"
    assert (economy["values"]["count"], economy["values"]["patches"]) == (2, 200)
    assert [each["code"] for each in said["remarks"]] == ["sheet.chart-economy", "sheet.chart-by-scan"]
    assert str(SMUDGE) not in [caution["text"] for caution in said["cautions"]]


def test_the_next_one_goes_by_what_was_read_of_the_last(
    bench: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--purpose", "device", "--patches", "200", "--ppi", "200", "--json"]
    assert run(bench, "--out", str(tmp_path / "one.tif"), *words) == 0
    first = document(capsys)
    rows = [
        f"{patch['name']} " + " ".join(f"{value:.5f}" for value in (*patch["rgb"], *_printed(*patch["rgb"])))
        for patch in first["patches"]
    ]
    table = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n"
    (tmp_path / "one.txt").write_text(table + "\n".join(rows) + "\nEND_DATA\n")
    assert main(["--bench", str(bench), "read", first["trial"], str(tmp_path / "one.txt"), "--json"]) == 0
    reading = document(capsys)
    assert len(reading["patches"]) == 200
    assert reading["attributes"]["repeatability"]["unit"] == "ΔE00"
    assert "reading.repeats" in [notice["code"] for notice in reading["notices"]]
    assert run(bench, "--out", str(tmp_path / "two.tif"), *words) == 0
    second = document(capsys)
    led = next(each for each in second["remarks"] if each["code"] == "sheet.chart-by-reading")
    assert led["values"] == {"trial": first["trial"]}
    asked = [{tuple(patch["rgb"]) for patch in each["patches"]} for each in (first, second)]
    assert len(asked[0] & asked[1]) < 0.9 * len(asked[0])


def _printed(red: float, green: float, blue: float) -> tuple[float, float, float]:
    """CIELAB of an invented printer whose blacks fill in."""
    light = 15 + 80 * max(0.3 * red + 0.6 * green + 0.1 * blue - 0.15, 0) / 0.85
    return light, 70 * (red - green), 70 * (green - blue)


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
        (["--out", "{}/sheet.tif", "--patches", "500"], "--purpose device"),
        (["--out", "{}/sheet.tif", "--purpose", "device", "--patch-mm", "8"], "--patches 500"),
        (["--out", "{}/sheet.tif", "--purpose", "device", "--patches", "99"], "120 to 1500"),
        (
            ["--out", "{}/sheet.tif", "--purpose", "device", "--patches", "200", "--patch-mm", "3"],
            "5 mm to 12 mm",
        ),
        (
            ["--out", "{}/sheet.tif", "--purpose", "device", "--patches", "1500"],
            "more than 6 sheets of 105 × 148 mm",
        ),
        (["--out", "{}/sheet.tif", "--profile", "Matt \udcff"], "profile"),  # a name in another encoding
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
