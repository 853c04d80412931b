"""Several files of one trial make one reading: panels are put together, kinds of device never mixed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadImage, BadRequest, BadScan
from tackside.messages.message import Message
from tackside.press.instrument import measure
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.reading.files import kind_of, read_files
from tackside.reading.scan.read import read_scan
from tests.reading.scan.prints import TRIAL, TWO_PANELS, off_by, planned, printed, scanned

PLAN = planned(TWO_PANELS)
HALF = TWO_PANELS[0] / 2 + 6.0


def left_half(path: Path, **settings: float) -> Path:
    scanner = ScannerModel(crop_mm=(0.0, 0.0, HALF - 1.0, 0.0), **settings)  # type: ignore[arg-type]
    return scanned(path, printed(TWO_PANELS), scanner)


def right_half(path: Path, **settings: float) -> Path:
    scanner = ScannerModel(crop_mm=(HALF - 1.0, 0.0, 0.0, 0.0), **settings)  # type: ignore[arg-type]
    return scanned(path, printed(TWO_PANELS), scanner)


def instrument_file(path: Path) -> Path:
    path.write_bytes(measure(printed(TWO_PANELS), np.array([patch.rgb for patch in PLAN.patches])))
    return path


def test_panels_scanned_one_by_one_make_the_whole_sheet(tmp_path: Path) -> None:
    halves = [left_half(tmp_path / "left.tif"), right_half(tmp_path / "right.tif", tilt_deg=1.0)]
    for order in (halves, halves[::-1]):
        reading = read_files(order, PLAN, device="flatbed")
        assert [patch.name for patch in reading.patches] == [patch.name for patch in PLAN.patches]
        assert np.percentile(off_by(reading, printed(TWO_PANELS)), 95) < 2.5
        codes = {notice.code for notice in reading.notices}
        assert not codes & {"reading.panel-not-shown", "reading.patches-outside"}
        assert {source.name for source in reading.further_sources} | {reading.source_name} == {
            "left.tif",
            "right.tif",
        }
        assert reading.attributes


def test_the_key_of_joined_scans_does_not_depend_on_their_order(tmp_path: Path) -> None:
    halves = [left_half(tmp_path / "left.tif"), right_half(tmp_path / "right.tif")]
    keys = {read_files(order, PLAN).uncertainty.comparable_with for order in (halves, halves[::-1])}
    assert len(keys) == 1
    assert all(read_scan_key(half) not in keys for half in halves if shows_patches(half))


def shows_patches(path: Path) -> bool:
    try:
        read_scan(path, PLAN)
    except BadScan:
        return False
    return True


def read_scan_key(path: Path) -> str:
    return read_scan(path, PLAN).uncertainty.comparable_with


@pytest.mark.parametrize("settings", [{"ppi": 200}, {"bits": 8}])
def test_parts_scanned_with_other_settings_are_not_put_together(
    tmp_path: Path, settings: dict[str, float]
) -> None:
    parts = [left_half(tmp_path / "left.tif"), right_half(tmp_path / "right.tif", **settings)]
    with pytest.raises(BadScan) as refusal:
        read_files(parts, PLAN)
    said = refusal.value.message
    assert said.code == "reading.unlike-settings"
    assert (said.value("file"), said.value("other")) == ("left.tif", "right.tif")


def test_with_an_instrument_file_colours_are_its_own_and_the_scan_places(tmp_path: Path) -> None:
    files = [scanned(tmp_path / "scan.tif", printed(TWO_PANELS)), instrument_file(tmp_path / "chart.txt")]
    reading = read_files(files, PLAN, device="flatbed")
    alone = read_files(files[1:], PLAN)
    assert reading.kind == "instrument"
    assert reading.patches == alone.patches
    assert reading.uncertainty == alone.uncertainty
    assert reading.uncertainty.comparable_with == "colorimetric"
    assert reading.placement is not None
    assert reading.placement.marks_found == len(PLAN.marks)
    assert reading.attributes
    assert reading.trial == alone.trial == TRIAL
    assert [source.name for source in reading.further_sources] == ["scan.tif"]


def test_two_instrument_files_are_refused(tmp_path: Path) -> None:
    files = [instrument_file(tmp_path / "one.txt"), instrument_file(tmp_path / "two.txt")]
    with pytest.raises(BadRequest) as refusal:
        read_files(files, PLAN)
    assert refusal.value.message == Message("reading.two-instrument-files", file="one.txt", other="two.txt")


def test_files_are_told_apart_by_content_not_by_name(tmp_path: Path) -> None:
    scan = scanned(tmp_path / "scan.tif", printed(TWO_PANELS)).rename(tmp_path / "scan.txt")
    chart = instrument_file(tmp_path / "chart.tif")
    assert (kind_of(scan), kind_of(chart)) == ("scan", "instrument")
    assert read_files([scan], PLAN).kind == "scan"
    assert read_files([chart], PLAN).kind == "instrument"


def test_letters_of_a_format_inside_a_picture_do_not_make_it_an_instrument_file(tmp_path: Path) -> None:
    path = tmp_path / "odd.tif"
    path.write_bytes(b"II*\0" + b"CxF BEGIN_DATA NUMBER_OF_FIELDS" * 20)
    assert kind_of(path) == "scan"


@pytest.mark.parametrize("content", [b"", b"Dear reader,\n", b"%PDF-1.7\n", b"\0" * 100])
def test_what_is_neither_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "thing.tif"
    path.write_bytes(content)
    with pytest.raises(BadImage) as refusal:
        kind_of(path)
    code = "reading.unknown-file" if content else "reading.empty-file"
    assert refusal.value.message == Message(code, file="thing.tif")
