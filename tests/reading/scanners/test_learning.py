"""A scanner learnt from a sheet or a target, kept on the bench, used, watched for drift; and its commands."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.bench.repositories.scanners import Scanners, file_name
from tackside.bench.store import Bench
from tackside.cli.main import main
from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, lab_to_xyz, rgb_to_lab, xyz_d50_to_rgb
from tackside.errors import BadRequest, BadScan, NotFound
from tackside.messages.message import Message
from tackside.press.instrument import measure
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import cotton_etching, semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import office
from tackside.press.scanner.scanning import scan
from tackside.reading.scan.read import read_scan
from tackside.reading.scanners.correct import OF_A_TARGET
from tackside.reading.scanners.drift import drift_of
from tackside.reading.scanners.learn import learn_from_sheet, with_characterisation
from tackside.reading.scanners.target import COLUMNS, ROWS, learn_from_target
from tackside.reading.scanners.use import ScannerUse
from tackside.records.scanner import Characterisation, Scanner
from tackside.sheet.render import render
from tests.reading.scan import prints, scans
from tests.refusals import refused

OFFICE = replace(office(), compression="none")
ON = {"inks": "Tern 8", "surface": "semi-gloss"}


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The scan of a sheet and its instrument file."""
    folder = tmp_path_factory.mktemp("learn")
    path = prints.scanned(folder / "scan.tif", prints.printed(), OFFICE)
    data = folder / "measured.txt"
    data.write_bytes(measure(prints.printed(), [patch.rgb for patch in prints.planned().patches]))
    return path, data


@pytest.fixture(scope="module")
def known(files: tuple[Path, Path]) -> Characterisation:
    return learn_from_sheet(*files, prints.planned(), prints.TRIAL, stock="Harbour Satin 300", **ON)


def use_of(known: Characterisation, **changes: str) -> ScannerUse:
    on = {**ON, "stock": "Harbour Satin 300", **changes}
    return ScannerUse(Scanner(name="Desk", characterisations=(known,)), **on)


def test_readings_come_right_and_say_by_what(files: tuple[Path, Path], known: Characterisation) -> None:
    plain = read_scan(files[0], prints.planned())
    right = read_scan(files[0], prints.planned(), scanner=use_of(known))
    before, after = (prints.off_by(one, prints.printed()) for one in (plain, right))
    assert np.median(after) < 0.5 * np.median(before)
    assert np.mean(after <= 2 * right.uncertainty.de00) >= 0.95
    assert right.uncertainty.basis.code == "uncertainty.scanner-own-inks"
    assert plain.uncertainty.basis.code == "uncertainty.scan-profile"
    assert right.device == "Desk"
    assert known.de00_median < 1.5
    assert len(known.others) >= 5


def test_other_inks_and_surfaces_are_trusted_less(files: tuple[Path, Path], known: Characterisation) -> None:
    mine, stock, inks, surface = (
        read_scan(files[0], prints.planned(), scanner=use_of(known, **changes))
        for changes in ({}, {"stock": "Quay Gloss"}, {"inks": "Knot 4"}, {"surface": "matt"})
    )
    assert mine.uncertainty.de00 < stock.uncertainty.de00 < surface.uncertainty.de00 < inks.uncertainty.de00
    assert Message("scanner.other-inks", known="Tern 8", inks="Knot 4") in inks.notices
    assert Message("scanner.other-surface", known="semi-gloss", surface="matt") in surface.notices


def test_other_settings_are_refused(known: Characterisation, tmp_path: Path) -> None:
    path = prints.scanned(tmp_path / "scan.tif", prints.printed())  # 16 bits and the scanner's own profile
    with pytest.raises(BadRequest) as refusal:
        read_scan(path, prints.planned(), scanner=use_of(known))
    assert refusal.value.message.code == "scanner.other-settings"
    assert refusal.value.message.value("known") == known.settings


def test_drift_shows_in_the_strip(files: tuple[Path, Path], known: Characterisation, tmp_path: Path) -> None:
    again = read_scan(files[0], prints.planned())
    steady = drift_of(known, again.patches)
    aged = prints.scanned(tmp_path / "aged.tif", prints.printed(), replace(OFFICE, tone=1.15))
    moved = drift_of(known, read_scan(aged, prints.planned()).patches)
    assert steady is not None
    assert moved is not None
    assert steady < 0.2
    assert moved > 2.0
    told = read_scan(aged, prints.planned(), scanner=use_of(known))
    assert "scanner.strip-moved" in [notice.code for notice in told.notices]
    assert (
        told.uncertainty.de00 > read_scan(files[0], prints.planned(), scanner=use_of(known)).uncertainty.de00
    )


def test_a_scan_and_a_measurement_of_two_prints_teach_nothing(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    shuffled = np.random.default_rng(1).permutation([patch.rgb for patch in prints.planned().patches])
    lines = measure(prints.printed(), shuffled).decode().splitlines()
    right = measure(prints.printed(), [patch.rgb for patch in prints.planned().patches]).decode().splitlines()
    first = right.index("BEGIN_DATA") + 1
    mixed = [
        line if not line[:1].isdigit() else " ".join([*line.split()[:4], *other.split()[4:]])
        for line, other in zip(right, lines, strict=True)
    ]
    assert len(mixed) > first
    (tmp_path / "other.txt").write_text("\n".join(mixed) + "\n")
    with pytest.raises(BadRequest) as refusal:
        learn_from_sheet(files[0], tmp_path / "other.txt", prints.planned(), prints.TRIAL, stock="x", **ON)
    assert refusal.value.message.code == "scanner.no-agreement"


def test_an_unfit_scan_teaches_nothing(files: tuple[Path, Path], tmp_path: Path) -> None:
    squeezed = tmp_path / "scan.jpg"
    pyvips.Image.new_from_file(str(files[0])).cast("uchar").write_to_file(str(squeezed), Q=20)
    with pytest.raises(BadScan) as refusal:
        learn_from_sheet(squeezed, files[1], prints.planned(), prints.TRIAL, stock="x", **ON)
    assert refusal.value.message.code == "scanner.scan-not-fit"
    why = refusal.value.message.value("why")
    assert isinstance(why, Message)
    assert why.code == "scan.heavy-jpeg"


def target_files(folder: Path) -> tuple[Path, Path, np.ndarray]:
    """An invented target, 12 rows of 22, seen by a scanner with cross-talk, and its data file."""
    rng = np.random.default_rng(9)
    names = [f"{row}{column}" for row in ROWS for column in range(1, COLUMNS + 1)]
    lab = rgb_to_lab(rng.uniform(0.1, 0.95, (len(names), 3)), SRGB)
    seen = xyz_d50_to_rgb(lab_to_xyz(lab), SRGB)
    mix = np.array([[0.88, 0.10, 0.02], [0.05, 0.87, 0.08], [0.01, 0.09, 0.90]])
    numbers = np.rint(SRGB.encode(np.clip(SRGB.decode(seen) @ mix.T, 0, 1)) * 65535).astype(np.uint16)
    side = 30
    grid = numbers.reshape(len(ROWS), COLUMNS, 3).repeat(side, axis=0).repeat(side, axis=1)
    image = np.pad(grid, ((40, 40), (60, 60), (0, 0)), constant_values=60000)
    scans.save(image, folder / "target.tif")
    rows = "\n".join(f"{name} {a:.3f} {b:.3f} {c:.3f}" for name, (a, b, c) in zip(names, lab, strict=True))
    (folder / "target.txt").write_text(
        "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS {len(names)}\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )
    right, low = 60 + side * COLUMNS - side / 2, 40 + side * len(ROWS) - side / 2
    return (
        folder / "target.tif",
        folder / "target.txt",
        np.array([[75, 55], [right, 55], [right, low], [75, low]]),
    )


def test_a_target_teaches_with_a_warning(tmp_path: Path) -> None:
    image, data, corners = target_files(tmp_path)
    known = learn_from_target(image, data, corners)
    assert known.way == "target"
    assert known.patches == len(ROWS) * COLUMNS
    assert known.de00_median < 0.5
    with pytest.raises(BadScan) as unlike:
        learn_from_target(image, data, corners[[1, 2, 3, 0]])
    assert unlike.value.message == Message("scanner.target-unlike", file=image.name, data=data.name)
    with pytest.raises(BadRequest) as outside:
        learn_from_target(image, data, corners * 50)
    assert outside.value.message.code == "scanner.corners-outside"
    scan_ = prints.scanned(tmp_path / "scan.tif", prints.printed(), OFFICE)
    of_target = known.model_copy(update={"settings": "8 bits, sRGB IEC 61966-2-1"})
    reading = read_scan(scan_, prints.planned(), scanner=use_of(of_target))
    assert reading.uncertainty.basis.code == "uncertainty.scanner-target"
    assert reading.uncertainty.de00 >= OF_A_TARGET
    assert Message("scanner.learnt-on-target") in reading.notices


def test_scanners_are_kept_by_name(known: Characterisation, tmp_path: Path) -> None:
    shelf = Scanners(tmp_path)
    assert shelf.list() == ()
    desk = with_characterisation(shelf.find("Desk / 16 bits"), known)
    shelf.keep(desk)
    assert shelf.get("Desk / 16 bits") == desk
    assert with_characterisation(desk, known).characterisations == desk.characterisations
    with refused(NotFound, "bench.no-scanner", hint=Message("file.did-you-mean", near="Desk / 16 bits")):
        shelf.get("Desk / 8 bits")
    assert file_name("A b") != file_name("a-b")


@pytest.mark.slow
def test_learn_read_check_and_answer_on_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def run(*words: str) -> dict[str, object]:
        assert main(["--bench", str(tmp_path / "bench"), *words, "--json"]) == 0
        out: dict[str, object] = json.loads(capsys.readouterr().out)
        return out

    (tmp_path / "stock.toml").write_text(
        'name = "Harbour Satin 300"\nsurface = "semi-gloss"\nopen_size_mm = [148, 105]\n'
    )
    (tmp_path / "printer.toml").write_text(
        'name = "Tern 8"\n[[feeds]]\nname = "rear"\nmin_size_mm = [80, 80]\nmax_size_mm = [329, 1000]\n'
    )
    run("stock", "add", str(tmp_path / "stock.toml"))
    run("printer", "add", str(tmp_path / "printer.toml"))
    made = run("sheet", "Harbour Satin 300", "Tern 8", "--out", str(tmp_path / "sheet.tif"))
    trial = str(made["trial"])
    plan = Bench.open(tmp_path / "bench").trials.get(trial).sheet
    for name, stock in (("glossy", semi_gloss()), ("matt", cotton_etching())):
        printed = print_sheet(render(plan), plan.ppi, stock, PrinterModel(), sheet_size_mm=plan.size_mm)
        write_scan(scan(printed, OFFICE), tmp_path / f"{name}.tif")
        (tmp_path / f"{name}.txt").write_bytes(measure(printed, [patch.rgb for patch in plan.patches]))
    glossy, data = str(tmp_path / "glossy.tif"), str(tmp_path / "glossy.txt")
    learnt = run("scanner", "learn", "Desk", trial, "--scan", glossy, "--data", data)
    assert float(str(learnt["de00_median"])) < 2
    reading = run("read", trial, glossy, "--scanner", "Desk")
    assert "characterised" in str(reading["uncertainty"])
    assert run("scanner", "check", "Desk", trial, glossy)["steady"] is True
    assert run("scanner", "list")["scanners"]
    assert run("scanner", "show", "Desk")["name"] == "Desk"
    eye = run(
        "answer", trial, "--say", "creep=no", "--say", "ruler_across_mm=100,99.5", "--say", "greys_tint=red"
    )
    assert eye["kind"] == "eye"
    (tmp_path / "answers.toml").write_text(
        'creep = "much"\ndark_steps_alike = 3\nruler_along_mm = [100, 99.5]\n'
    )
    assert run("answer", trial, str(tmp_path / "answers.toml"))["kind"] == "eye"
    assert main(["--bench", str(tmp_path / "bench"), "read", trial, glossy, "--scanner", "Dusk"]) == 2
    assert "Desk" in capsys.readouterr().err
    asked = np.array([patch["rgb"] for patch in reading["patches"]])  # type: ignore[attr-defined]
    read = np.array([patch["lab"] for patch in reading["patches"]])  # type: ignore[attr-defined]
    glossy_print = print_sheet(np.zeros((2, 2, 3), np.uint8), 300, semi_gloss(), PrinterModel())
    assert np.median(delta_e_2000(read, glossy_print.lab_of(asked))) < 1.5
