"""``tackside read *.tif``: no trial named, many files, one bad among them; a scanner's PDF."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.bench.store import Bench
from tests.cli.bench_of_examples import TERN, Caller
from tests.cli.test_read import STOCK, cgats
from tests.heic import heic, wedge
from tests.reading.document.pdfs import scanned_pdf
from tests.reading.scan.scans import save


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, np.ndarray]]:
    """A bench with two trials, and what a scanner sees of each sheet, at 150 ppi."""
    from tackside.cli.main import main

    folder = tmp_path_factory.mktemp("many")
    (folder / "stock.toml").write_text(STOCK)
    bench = ["--bench", str(folder / "bench")]
    assert main([*bench, "stock", "add", str(folder / "stock.toml")]) == 0
    assert main([*bench, "printer", "add", str(TERN)]) == 0
    seen = {}
    for side in ("front", "back"):
        out = folder / f"{side}.tif"
        assert (
            main([*bench, "sheet", "Harbour Satin small", "Tern 8", "--side", side, "--out", str(out)]) == 0
        )
        sheet = pyvips.Image.new_from_file(str(out)).shrink(4, 4).cast("uchar")
        printed = 20 + np.asarray(sheet.numpy()) * (224 / 255)
        padded = np.pad(printed, ((35, 35), (35, 35), (0, 0)), constant_values=200)
        noisy = padded + np.random.default_rng(7).normal(0, 1.0, padded.shape)
        seen[side] = np.clip(np.rint(noisy), 0, 255).astype(np.uint8)
    trials = {trial.side: trial.id for trial in Bench.open(folder / "bench").trials.list()}
    return folder, {trials[side]: pixels for side, pixels in seen.items()}


@pytest.fixture
def call(made: tuple[Path, dict[str, np.ndarray]], capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(made[0] / "bench", capsys)


@pytest.fixture
def scans(made: tuple[Path, dict[str, np.ndarray]], tmp_path: Path) -> dict[str, Path]:
    return {trial: save(pixels, tmp_path / f"{trial}.tif", ppi=150) for trial, pixels in made[1].items()}


def test_the_sheet_says_its_trial(call: Caller, scans: dict[str, Path]) -> None:
    for trial, scan in scans.items():
        named, told = call.document("read", trial, scan), call.document("read", scan)
        assert told["trial"] == trial
        for document in (named, told):
            del document["reading"], document["made_at"]
        assert told == named


def test_many_are_sorted_by_their_tags(call: Caller, scans: dict[str, Path]) -> None:
    found = call.document("read", *scans.values())
    assert set(found) == {"readings", "faults"}
    assert {each["trial"] for each in found["readings"]} == set(scans)
    assert found["faults"] == []
    kept = Bench.open(call.folder)
    for each in found["readings"]:
        assert kept.readings.standing(each["trial"]).id == each["reading"]
    shown = call.text("read", *scans.values())
    assert f"tackside judge {' '.join(scans)}" in shown


def test_one_bad_file_costs_one_line(call: Caller, scans: dict[str, Path], tmp_path: Path) -> None:
    picture = tmp_path / "boats.png"
    Image.new("RGB", (300, 300), (90, 120, 150)).save(picture)
    (tmp_path / "phone.heic").write_bytes(heic(wedge())[:-40])
    bad = [tmp_path / "missing.tif", picture, tmp_path / "phone.heic"]
    first, *rest = scans.values()
    code, out, err = call._call("read", first, *bad, *rest, "--json")
    assert code == 2
    found = json.loads(out)
    assert {each["trial"] for each in found["readings"]} == set(scans)
    assert [(each["file"], each["code"]) for each in found["faults"]] == [
        ("missing.tif", "reading.file-missing"),
        ("boats.png", "arrived.no-tag"),
        ("phone.heic", "scan.damaged"),
    ]
    lines = err.splitlines()
    assert len(lines) == len(bad)
    assert all(line.startswith("tackside: ") for line in lines)
    assert "phone.heic" in err


def test_an_instrument_file_goes_with_the_one_trial_named(
    call: Caller, scans: dict[str, Path], tmp_path: Path
) -> None:
    first, second = scans
    measured = cgats(call.document("read", scans[first]), tmp_path / "measured.txt")
    found = call.document("read", scans[first], measured)
    assert [(each["trial"], each["kind"]) for each in found["readings"]] == [(first, "instrument")]
    assert found["readings"][0]["placement"] is not None
    # With two trials it might be either's, and by itself it says none.
    code, out, err = call._call("read", scans[first], scans[second], measured, "--json")
    assert code == 2
    assert len(json.loads(out)["readings"]) == 2
    assert "measured.txt is an instrument file, which does not say its trial" in err
    assert "does not say its trial" in call.refusal("read", measured)


def test_two_sheets_on_one_bed_are_two_readings(
    call: Caller, made: tuple[Path, dict[str, np.ndarray]], tmp_path: Path
) -> None:
    both = save(np.concatenate(list(made[1].values()), axis=1), tmp_path / "bed.tif", ppi=150)
    found = call.document("read", both)
    assert {each["trial"] for each in found["readings"]} == set(made[1])


def test_a_scanners_pdf_is_read_page_by_page(
    call: Caller, made: tuple[Path, dict[str, np.ndarray]], tmp_path: Path
) -> None:
    sheets = made[1]
    pdf = scanned_pdf(tmp_path / "evening.pdf", list(sheets.values()), 150)
    found = call.document("read", pdf)
    assert [each["trial"] for each in found["readings"]] == list(sheets)
    for number, each in enumerate(found["readings"], 1):
        assert each["source_name"] == f"evening.pdf ({number})"
        assert each["placement"]["scale_x"] == pytest.approx(1, abs=0.001)
        # The page's picture is kept, and said resolution comes with it.
        assert Bench.open(call.folder).file(each["source_sha256"]).read_bytes().startswith(b"\xff\xd8")
        assert "scan.no-resolution" not in {notice["code"] for notice in each["notices"]}
    # One page of a trial that is named is like any scan.
    trial, pixels = next(iter(sheets.items()))
    one = scanned_pdf(tmp_path / "one.pdf", [pixels], 150)
    assert call.document("read", trial, one)["source_name"] == "one.pdf"


def test_a_sheets_own_pdf_is_no_scan(call: Caller, tmp_path: Path) -> None:
    call._call("sheet", "Harbour Satin small", "Tern 8", "--out", tmp_path / "sheet.pdf", "--force")
    assert "sheet.pdf" in call.refusal("read", tmp_path / "sheet.pdf")


def test_a_trial_of_another_bench_is_said_so(call: Caller, scans: dict[str, Path], tmp_path: Path) -> None:
    other = Caller(tmp_path / "other", call._capsys)
    (tmp_path / "stock.toml").write_text(STOCK)
    other.text("stock", "add", tmp_path / "stock.toml")
    trial, scan = next(iter(scans.items()))
    refused = other.refusal("read", scan)
    assert f"shows the sheet of trial {trial}, which is not on this bench" in refused


def test_no_file_named(call: Caller, scans: dict[str, Path]) -> None:
    assert "there is no file to read" in call.refusal("read")
    assert "there is no file to read" in call.refusal("read", next(iter(scans)))


def test_several_readings_are_a_line_each(
    call: Caller, scans: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    _, out, _ = call._call("read", *scans.values())
    lines = out.splitlines()
    assert len(lines) <= 10
    for trial in scans:
        assert sum(line.startswith(f" {trial} ") for line in lines) == 1


def test_a_picture_shows_where_a_scan_was_spoilt(
    call: Caller, made: tuple[Path, dict[str, np.ndarray]], scans: dict[str, Path], tmp_path: Path
) -> None:
    trial, pixels = next(iter(made[1].items()))
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "JPEG", quality=40)
    was_jpeg = save(np.asarray(Image.open(stream)), tmp_path / "was-jpeg.tif", ppi=150)
    out = tmp_path / "shown.png"
    code, shown, err = call._call("read", was_jpeg, "--spoilt-picture", out, "--json")
    assert code == 0
    assert "shown.png" in err
    document = json.loads(shown)
    assert document["trial"] == trial
    (told,) = (each for each in document["spoilt"] if each["setting"] == "jpeg")
    assert (told["code"], told["degree"]) == ("scan.once-heavy-jpeg", 0.5)
    assert told["amount"] == pytest.approx(40, abs=4)
    assert told["code"] in [flaw["code"] for flaw in document["flaws"]]
    with Image.open(out) as picture:
        assert picture.width == 960
    # Nothing is written over, no other kind of file, and nothing where there is nothing to show.
    assert "--force" in call.refusal("read", was_jpeg, "--spoilt-picture", out)
    assert ".png" in call.refusal("read", was_jpeg, "--spoilt-picture", tmp_path / "shown.jpg")
    other = tmp_path / "other.png"
    assert "was not written" in call.warnings("read", scans[trial], "--spoilt-picture", other)
    assert not other.exists()
