"""``tackside read`` from start to end."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.bench.store import Bench
from tackside.cli.commands.prints.read import _pictured
from tackside.messages.message import Message
from tackside.records import PatchReading, Reading, Uncertainty
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.reading.scan.scans import save

STOCK = """
name = "Harbour Satin small"
base = "photo"
coated = "front"
open_size_mm = [100, 130]
caliper_mm = 0.3
"""


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    """A bench with one small stock and a printer."""
    caller = Caller(tmp_path / "bench", capsys)
    (tmp_path / "stock.toml").write_text(STOCK)
    caller.document("stock", "add", tmp_path / "stock.toml")
    caller.document("printer", "add", TERN)
    return caller


@pytest.fixture
def trial(call: Caller, tmp_path: Path) -> str:
    # Its notes about blocks without room go to standard error, which ``document`` would refuse.
    code, _, _ = call._call("sheet", "Harbour Satin small", "Tern 8", "--out", tmp_path / "sheet.tif")
    assert code == 0
    (found,) = Bench.open(call.folder, create=False).trials.list()
    return found.id


def scanned(tmp_path: Path, name: str = "scan.tif", **how: Any) -> Path:
    """The sheet at 300 ppi on a grey lid: an even print, black at L* 6 and card at L* 96, with a scanner's noise."""
    sheet = pyvips.Image.new_from_file(str(tmp_path / "sheet.tif")).shrink(2, 2).cast("uchar")
    printed = 20 + np.asarray(sheet.numpy()) * (224 / 255)
    seen = np.pad(printed, ((70, 70), (70, 70), (0, 0)), constant_values=200)
    noisy = seen + np.random.default_rng(7).normal(0, 1.0, seen.shape)
    pixels = np.clip(np.rint(noisy), 0, 255).astype(np.uint8)
    return save(pixels, tmp_path / name, **how)


def cgats(document: dict[str, Any], path: Path) -> Path:
    """The same patches as an instrument would report them, a little off."""
    rows = [
        "\t".join([patch["name"], *(f"{255 * each:.4f}" for each in patch["rgb"]), "50.0", "1.5", "-2.5"])
        for patch in document["patches"]
    ]
    fields = "SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
    head = f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
    body = f"NUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
    path.write_text(head + body)
    return path


def test_a_scan_becomes_a_reading_in_the_bench(call: Caller, trial: str, tmp_path: Path) -> None:
    path = scanned(tmp_path)
    found = call.document("read", trial, path, "--device", "flatbed, corrections off")
    assert (found["trial"], found["kind"], found["device"]) == (trial, "scan", "flatbed, corrections off")
    for patch in found["patches"]:
        assert {"name", "rgb", "lab", "sd"} <= set(patch)
    assert {"scale_x", "scale_y", "rotation_deg", "offset_mm"} <= set(found["placement"])
    assert {"attributes", "uncertainty", "notices", "profile"} <= set(found)
    basis = found["uncertainty"]
    assert isinstance(basis["basis"], str)
    assert basis["basis"] == str(Message(basis["basis_code"], **basis["basis_values"]))
    assert found["notices"]
    for notice in found["notices"]:
        assert notice["text"] == str(Message(notice["code"], **notice["values"]))
    assert {flaw["code"] for flaw in found["flaws"]} <= {notice["code"] for notice in found["notices"]}
    bench = Bench.open(call.folder, create=False)
    kept = bench.readings.standing(trial)
    assert kept is not None
    assert kept.id == found["reading"]
    assert bench.file(kept.source_sha256).read_bytes() == path.read_bytes()


def test_a_card_is_worked_out_for_choosing_at_its_first_choice(
    call: Caller, trial: str, tmp_path: Path
) -> None:
    """Three ways to it from the picture's space, kept: the second choice finds them."""
    call.document("read", trial, scanned(tmp_path))
    kept = call.folder / "cache"
    assert not list(kept.glob("*.npy"))
    Image.new("RGB", (40, 30), (60, 110, 160)).save(tmp_path / "sea.png")
    asked = ("choose", tmp_path / "sea.png", "--json")  # what a scan cannot promise goes to standard error
    code, first, _ = call._call(*asked)
    assert code == 0
    tables = {file: file.read_bytes() for file in kept.glob("*.npy")}
    assert len(tables) == 3
    assert call._call(*asked)[:2] == (0, first)
    assert {file: file.read_bytes() for file in kept.glob("*.npy")} == tables


def test_the_text_says_what_was_found_and_what_comes_next(call: Caller, trial: str, tmp_path: Path) -> None:
    short = call.text("read", trial, scanned(tmp_path, profile=None))
    text = call.text("read", trial, scanned(tmp_path, profile=None), "--full")
    for shown in (short, text):
        assert trial in shown
        assert f"tackside judge {trial}" in shown
    assert "100.0" in text  # the scale in per cent
    assert "taken for sRGB" in text


def test_an_instrument_file_is_told_by_its_content(call: Caller, trial: str, tmp_path: Path) -> None:
    scan = call.document("read", trial, scanned(tmp_path))
    found = call.document("read", trial, cgats(scan, tmp_path / "no-scan.tif"))
    assert (found["kind"], found["placement"]) == ("instrument", None)
    assert [patch["name"] for patch in found["patches"]] == [patch["name"] for patch in scan["patches"]]
    assert found["patches"][0]["lab"] == pytest.approx([50.0, 1.5, -2.5])


def test_instrument_and_scan_together_take_colours_from_the_instrument(
    call: Caller, trial: str, tmp_path: Path
) -> None:
    path = scanned(tmp_path)
    measured = cgats(call.document("read", trial, path), tmp_path / "measured.txt")
    found = call.document("read", trial, path, measured)
    assert found["kind"] == "instrument"
    assert all(patch["lab"] == pytest.approx([50.0, 1.5, -2.5]) for patch in found["patches"])
    assert found["placement"]["scale_x"] == pytest.approx(1, abs=0.0005)
    assert len(found["sources"]) == 2


def test_scans_of_other_settings_are_not_mixed(call: Caller, trial: str, tmp_path: Path) -> None:
    one, other = scanned(tmp_path), scanned(tmp_path, "other.tif", profile=None)
    assert "different settings" in call.refusal("read", trial, one, other)


@pytest.mark.parametrize("spoil", ["missing", "folder", "empty", "cut"])
def test_a_refused_file_leaves_the_bench_as_it_was(
    spoil: str, call: Caller, trial: str, tmp_path: Path
) -> None:
    good, bad = scanned(tmp_path), tmp_path / "bad.tif"
    if spoil == "folder":
        bad.mkdir()
    elif spoil != "missing":
        bad.write_bytes(good.read_bytes()[: 90_000 if spoil == "cut" else 0])
    before = sorted((call.folder / "files").rglob("*"))
    assert "bad.tif" in call.refusal("read", trial, good, bad)
    assert Bench.open(call.folder, create=False).readings.list(trial) == ()
    assert sorted((call.folder / "files").rglob("*")) == before


def test_an_unknown_trial_and_a_bench_that_is_not_there_are_refused(
    call: Caller, trial: str, tmp_path: Path
) -> None:
    assert "NOSUCHID" in call.refusal("read", "NOSUCHID", scanned(tmp_path))
    elsewhere = Caller(tmp_path / "nowhere", call._capsys)
    elsewhere.refusal("read", trial, tmp_path / "scan.tif")
    assert not (tmp_path / "nowhere").exists()


def test_a_file_of_no_kind_says_what_is_wanted(call: Caller, trial: str) -> None:
    assert "neither a scan nor an instrument file" in call.refusal("read", trial, SATIN)


def test_a_photograph_is_said_not_to_be_looked_at_for_what_a_program_did(
    call: Caller, tmp_path: Path
) -> None:
    photograph = Reading(
        kind="photo",
        source_name="pair.jpg",
        source_sha256="0" * 64,
        patches=(PatchReading(name="w", rgb=(1.0, 1.0, 1.0), lab=(95.0, 0.0, 0.0)),),
        made_at=datetime.now(UTC),
        uncertainty=Uncertainty(de00=1.0, basis=Message("uncertainty.photo-alone"), comparable_with="photo"),
    )
    out = tmp_path / "shown.png"
    bench = Bench.open(call.folder, create=False)
    assert list(_pictured(bench, [photograph], out)) == [Message("spoilt.not-of-photographs", file=str(out))]
    assert not out.exists()
