"""``tackside scan`` from start to verdict: from a scanner of the tests' own, plain and encrypted, and through SANE."""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.bench.store import Bench
from tackside.cli.main import main
from tackside.reading.scanning import sane
from tackside.reading.scanning.sane import sane_asked, sane_devices, sane_options
from tackside.reading.scanning.wish import ScanWish
from tests import services
from tests.cli.bench_of_examples import TERN, Caller
from tests.cli.test_read import STOCK
from tests.reading.scanning.escl_server import scanner_of

needs_sane = pytest.mark.skipif(services.scanning_tool() is None, reason="no SANE is installed")
Glass = dict[str, np.ndarray]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Glass]:
    """A bench with two trials, and what a glass sees of each sheet's own file as an even print, 16 bits at 300 ppi."""
    folder = tmp_path_factory.mktemp("scan")
    (folder / "stock.toml").write_text(STOCK)
    bench = ["--bench", str(folder / "bench")]
    assert main([*bench, "stock", "add", str(folder / "stock.toml")]) == 0
    assert main([*bench, "printer", "add", str(TERN)]) == 0
    seen = {}
    for side in ("front", "back"):
        out = folder / f"{side}.tif"
        asked = ["sheet", "Harbour Satin small", "Tern 8", "--side", side, "--out", str(out)]
        assert main([*bench, *asked]) == 0
        sheet = pyvips.Image.new_from_file(str(out)).shrink(2, 2)
        printed = 20 + np.asarray(sheet.numpy(), dtype=np.float32) * (224 / 255)
        padded = np.pad(printed, ((40, 60), (40, 60), (0, 0)), constant_values=200)
        noisy = 257 * (padded + np.random.default_rng(7).normal(0, 1.0, padded.shape))
        seen[side] = np.clip(np.rint(noisy), 0, 65535).astype(np.uint16)
    trials = {trial.side: trial.id for trial in Bench.open(folder / "bench").trials.list()}
    return folder, {trials[side]: pixels for side, pixels in seen.items()}


@pytest.fixture
def call(made: tuple[Path, Glass], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    shutil.copytree(made[0] / "bench", tmp_path / "bench")
    return Caller(tmp_path / "bench", capsys)


@pytest.mark.parametrize("certificate", [None, "first.pem"])
def test_from_the_glass_to_a_verdict(call: Caller, made: tuple[Path, Glass], certificate: str | None) -> None:
    trial, glass = next(iter(made[1].items()))
    with scanner_of(glass, certificate) as scanner:
        told = call.document("scan", trial, "--from", scanner.address)
        again = call.document("scan", "--whole")  # the last scanner, and the tag says which trial
    assert set(told) == {"sheets", "faults"}
    ((sheet,), (other,)) = told["sheets"], again["sheets"]
    assert (sheet["trial"], other["trial"]) == (trial, trial)
    assert sheet["verdict"]["grade"] in {"sell", "send", "draft"}
    assert sheet["device"] == "Invented Scanner, 300 ppi, 16 bits, TIFF"
    scanned = sheet["scanned"]
    assert (scanned["scanner"], scanned["via"], scanned["bits"]) == ("Invented Scanner", "escl", 16)
    # The stock is 100 × 130 mm; 10 mm are the margin.
    assert scanned["asked_mm"] == [110, 140]
    assert [each["Width"] for each in scanner.settings] == ["1299", "2550"]
    kept = Bench.open(call.folder).readings.standing(trial)
    assert kept.id == other["reading"]
    assert kept.scanned is not None
    assert kept.scanned.model_dump(mode="json") == other["scanned"]
    assert kept.placement is not None
    assert kept.placement.scale_x == pytest.approx(1, abs=0.001)


def test_sheets_one_after_another_are_told_by_their_tags(
    call: Caller, made: tuple[Path, Glass], monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = made[1].items()
    with scanner_of(first[1]) as scanner:
        empty = np.full_like(first[1], 52000)
        lain = iter([empty, second[1]])

        class Person(io.StringIO):
            def isatty(self) -> bool:
                return True

            def readline(self, *_: object) -> str:  # type: ignore[override]
                scanner.glass = next(lain, empty)
                return "\n" if scanner.glass is not empty or len(scanner.settings) == 1 else "q\n"

        monkeypatch.setattr("sys.stdin", Person())
        code, out, err = call._call("scan", "--from", scanner.address, "--json")
    assert code == 0
    found = json.loads(out)
    assert [each["trial"] for each in found["sheets"]] == [first[0], second[0]]
    assert [(each["sheet"], each["code"]) for each in found["faults"]] == [("2", "scanning.no-tag")]
    assert "Next sheet on the glass" in err
    assert f"{second[0]}, Harbour Satin small: " in err


def test_what_the_file_says_stands_with_the_reading(call: Caller, made: tuple[Path, Glass]) -> None:
    trial, glass = next(iter(made[1].items()))
    with scanner_of(glass, lie="eight bits") as scanner:
        told = call.document("scan", trial, "--from", scanner.address)
    (sheet,) = told["sheets"]
    assert (sheet["scanned"]["asked_bits"], sheet["scanned"]["bits"]) == (16, 8)
    notices = Bench.open(call.folder).readings.standing(trial).notices
    assert "scanning.fewer-bits" in {each.code for each in notices}


def test_a_scanner_that_lies_leaves_no_reading_and_no_file(call: Caller, made: tuple[Path, Glass]) -> None:
    trial, glass = next(iter(made[1].items()))
    bench = Bench.open(call.folder)
    before = {each.relative_to(call.folder) for each in (call.folder / "files").rglob("*")}
    with scanner_of(glass, lie="truncated") as scanner:
        assert "a picture that breaks off" in call.refusal("scan", trial, "--from", scanner.address)
    assert bench.readings.list(trial) == ()
    assert {each.relative_to(call.folder) for each in (call.folder / "files").rglob("*")} == before
    assert scanner.open_jobs == set()


@contextlib.contextmanager
def hanging(
    call: Caller, glass: np.ndarray, trial: str, aside: Path
) -> Iterator[tuple[subprocess.Popen[str], list[str]]]:
    """A scan that waits for its scanner, as it does when a person presses Ctrl-C; and what its scanner was asked."""
    aside.mkdir()
    with scanner_of(glass, lie="hangs") as scanner:
        command = [sys.executable, "-m", "tackside", "--bench", str(call.folder), "scan", trial]
        process = subprocess.Popen(
            [*command, "--from", scanner.address],
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "TMPDIR": str(aside)},
            # What runs in a shell's background is born deaf to it, and so would be its child.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        with process:
            deadline = time.monotonic() + 60
            while not any("NextDocument" in each for each in scanner.asked):
                assert time.monotonic() < deadline
                time.sleep(0.05)
            time.sleep(1.0)
            try:
                yield process, scanner.asked
            finally:
                process.kill()


def test_ctrl_c_cancels_the_scan_at_the_scanner(
    call: Caller, made: tuple[Path, Glass], tmp_path: Path
) -> None:
    trial, glass = next(iter(made[1].items()))
    with hanging(call, glass, trial, tmp_path / "aside") as (process, asked):
        assert list(call.folder.glob("cache/work-*"))
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=60)
        assert "DELETE /eSCL/ScanJobs/job-1" in asked
    assert process.returncode == 130, said
    last = said.replace("\r", "\n").strip().splitlines()[-1]
    assert "stopped" in last
    assert not [word for word in ("Traceback", "Warning", "Error") if word in said]
    assert list((tmp_path / "aside").iterdir()) == []
    assert list(call.folder.glob("cache/work-*")) == []


def test_what_a_killed_scan_leaves_is_cleared_away_by_the_next_one(
    call: Caller, made: tuple[Path, Glass], tmp_path: Path
) -> None:
    trial, glass = next(iter(made[1].items()))
    with hanging(call, glass, trial, tmp_path / "aside") as (process, _):
        (left,) = call.folder.glob("cache/work-*")
        with scanner_of(glass) as scanner:
            call.document("scan", trial, "--from", scanner.address)
            assert left.is_dir()  # it still runs
            process.kill()
            process.wait(timeout=60)
            assert left.is_dir()
            call.document("scan", trial)
    assert list(call.folder.glob("cache/work-*")) == []
    assert list((tmp_path / "aside").iterdir()) == []


def test_slips_of_a_call_are_told(call: Caller) -> None:
    assert "no scanner was used from here yet" in call.refusal("scan")
    assert "neither a scanner that was used before" in call.refusal("scan", "--from", "my scanner")
    assert "scanner's address" in call.refusal("scan", "--from", "ftp://scanner.local")
    assert "more than 0" in call.refusal("scan", "--list", "--seconds", "0")


@needs_sane
def test_what_sanes_own_test_scanner_offers_is_asked_for() -> None:
    """SANE's backend for testing front ends, ``test`` (sane-test(5)): its options as ``scanimage`` tells them."""
    options = sane_options("test:0")
    assert (options["depth"], options["mode"]) == ("1|8|16", "Gray|Color")
    asked, arguments = sane_asked(options, ScanWish(300, (100, 130)), "test:0")
    assert (asked.ppi, asked.bits, asked.area_mm, asked.glass_mm) == (300, 16, (110, 140), (200, 200))
    assert arguments == [
        "--mode=Color", "--source=Flatbed", "--depth=16", "--resolution=300",
        "-l", "0", "-t", "0", "-x", "110", "-y", "140",
    ]  # fmt: skip


@needs_sane
def test_a_whole_scan_comes_from_sanes_test_scanner(
    call: Caller, made: tuple[Path, Glass], tmp_path: Path
) -> None:
    """Its picture is black: the scan is whole, 16 bits of 110 × 140 mm, and no sheet is on it."""
    asked = sane.scan_by_sane(
        "test:0", ScanWish(300, (100, 130)), tmp_path / "scan", lambda *_: None, lambda: False
    )
    image = pyvips.Image.new_from_file(str(tmp_path / "scan"))
    assert (image.format, image.bands, round(image.xres * 25.4)) == ("ushort", 3, 300)
    assert asked.area_mm == (110, 140)
    assert (image.width, image.height) == pytest.approx((1299, 1654), abs=2)
    trial = next(iter(made[1]))
    assert call.refusal("scan", trial, "--from", "sane:test:0")
    assert "SANE knows no scanner" in call.refusal("scan", trial, "--from", "sane:nosuch")


@contextlib.contextmanager
def lying_on_sanes_glass(glass: np.ndarray) -> Iterator[None]:
    """SANE's backend ``pnm`` scans the file /tmp/input.ppm; one test at a time may lay something there."""
    place = Path("/tmp/input.ppm")
    with Path("/tmp/input.ppm.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            eight = (glass // 257).astype(np.uint8)
            Image.fromarray(eight).save(place)
            yield
        finally:
            place.unlink(missing_ok=True)


@needs_sane
def test_from_sane_to_a_verdict(
    call: Caller, made: tuple[Path, Glass], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "sane").mkdir()
    (tmp_path / "sane" / "dll.conf").write_text("pnm\ntest\n")
    monkeypatch.setenv("SANE_CONFIG_DIR", str(tmp_path / "sane"))
    assert {"pnm:0", "test:0"} <= {each.name for each in sane_devices()}
    trial, glass = next(iter(made[1].items()))
    with lying_on_sanes_glass(glass):
        told = call.document("scan", "--from", "sane:pnm:0")
    (sheet,) = told["sheets"]
    assert (sheet["trial"], sheet["scanned"]["via"]) == (trial, "sane")
    assert sheet["verdict"]["grade"] in {"sell", "send", "draft"}
