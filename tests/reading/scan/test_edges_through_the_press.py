"""The sheet's edges in scans by the virtual press: shadows, enlarged and shrunk prints, edges cut off."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.messages.message import Message
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print
from tackside.press.printer.stock_model import craft_card
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.reading.scan.read import read_scan
from tackside.records import Reading
from tests.reading.scan.prints import A_LITTLE_OFF, assert_placed, planned, printed, scanned

pytestmark = pytest.mark.slow


def read(path: Path, print_: Print, scanner: ScannerModel) -> Reading:
    return read_scan(scanned(path, print_, scanner), planned())


def test_a_thin_shadow_before_a_lid_lighter_than_paper_is_not_taken_for_the_lid(tmp_path: Path) -> None:
    craft = printed(stock=craft_card())
    assert craft.stock.paper_xyz[1] < 0.9
    for turn in (0, 90, 180, 270):
        scanner = ScannerModel(lid=0.9, turn=turn, tilt_deg=1.0)
        assert_placed(read(tmp_path / f"{turn}.tif", craft, scanner), craft)


# Borderless printing enlarges past the sheet by 2 to 4 mm an edge (docs/sources.md, S15).
@pytest.mark.parametrize("enlargement_mm", [1.0, 2.5, 3.0])
def test_edges_that_cut_into_an_enlarged_print_are_found(tmp_path: Path, enlargement_mm: float) -> None:
    print_ = printed(printer=PrinterModel(offset_mm=(0.2, 0.1), enlargement_mm=enlargement_mm))
    assert_placed(read(tmp_path / "scan.tif", print_, ScannerModel(lid=0.5, tilt_deg=1.0)), print_)


def test_edges_far_outside_a_shrunk_print_are_found(tmp_path: Path) -> None:
    # 148 mm fitted into margins of 3.4 mm, and centred.
    scale = (148 - 6.8) / 148
    shrunk = PrinterModel(scale_x=scale, scale_y=scale, offset_mm=(74 * (1 - scale), 52.5 * (1 - scale)))
    print_ = printed(printer=shrunk)
    assert_placed(read(tmp_path / "scan.tif", print_, ScannerModel(tilt_deg=3.0)), print_)


def test_edges_are_found_in_a_jpeg_of_eight_bits(tmp_path: Path) -> None:
    scanner = ScannerModel(space="srgb", bits=8, quality=85)
    assert_placed(read(tmp_path / "scan.jpg", printed(), scanner), printed())


def test_one_edge_tells_the_turn_and_two_that_meet_the_offset(tmp_path: Path) -> None:
    # Cropped inside the paper on the left, the top and the right: the bottom edge is left.
    lone = read(tmp_path / "lone.tif", printed(), ScannerModel(crop_mm=(8, 8, 8, 0))).placement
    assert lone is not None
    assert lone.rotation_deg == pytest.approx(A_LITTLE_OFF.rotation_deg, abs=0.02)
    assert lone.offset_mm is None
    corner = read(tmp_path / "corner.tif", printed(), ScannerModel(crop_mm=(8, 8, 0, 0)))
    assert_placed(corner, printed())


def test_a_scan_without_edges_has_neither_turn_nor_offset_and_says_so(tmp_path: Path) -> None:
    reading = read(tmp_path / "scan.tif", printed(), ScannerModel(crop_mm=(8, 8, 8, 8)))
    assert reading.placement is not None
    assert reading.placement.rotation_deg is None
    assert reading.placement.offset_mm is None
    assert Message("reading.edges-unseen") in reading.notices
    assert reading.placement.scale_x == pytest.approx(A_LITTLE_OFF.scale_x, rel=5e-4)
