"""A sheet lies in the file where the scan's truth says, for all turns, tilts, crops and errors of scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.errors import BadRequest
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import semi_gloss
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import OnBed, Scan, scan
from tackside.press.scanner.sweep import SheetTruth

DOTS_MM = np.array([[8, 8], [52, 8], [8, 32], [52, 32], [30, 20]], dtype=float)
SIZE_MM = (60.0, 40.0)
PPI = 600


@pytest.fixture(scope="module")
def printed() -> Print:
    image = np.full((round(SIZE_MM[1] * PPI / 25.4), round(SIZE_MM[0] * PPI / 25.4), 3), 255, np.uint8)
    for x, y in DOTS_MM:
        left, top = (round(mm * PPI / 25.4) - 23 for mm in (x, y))
        image[top : top + 46, left : left + 46] = 0
    printer = PrinterModel(offset_mm=(0.3, -0.2), rotation_deg=0.2, scale_x=1.002)
    stock = replace(semi_gloss(), mottle=0.0, grain=0.0)
    return print_sheet(image, PPI, stock, printer, sheet_size_mm=SIZE_MM)


def plain(**settings: object) -> ScannerModel:
    return ScannerModel(noise=0.0, shadow=0.0, **settings)  # type: ignore[arg-type]


def through(map_px: np.ndarray, points: np.ndarray) -> np.ndarray:
    return np.column_stack([points, np.ones(len(points))]) @ map_px.T


def ink(scanned: Scan) -> np.ndarray:
    """Linear light taken away, from the green channel."""
    encoded = scanned.image[..., 1] / np.iinfo(scanned.image.dtype).max
    linear = scanned.scanner.rgb_space.decode(encoded)
    return np.clip(np.median(linear[linear > 0.7 * linear.max()]) - linear, 0, None)


def centroids(scanned: Scan, near: np.ndarray, reach: int = 22) -> np.ndarray:
    dark, found = ink(scanned), []
    for x, y in near:
        rows, columns = slice(int(y) - reach, int(y) + reach), slice(int(x) - reach, int(x) + reach)
        part = np.where(dark[rows, columns] > 0.02, dark[rows, columns], 0)
        down, across = np.mgrid[rows, columns] + 0.5
        found.append([np.average(across, weights=part), np.average(down, weights=part)])
    return np.array(found)


def dots_in_file(truth: SheetTruth) -> np.ndarray:
    asked = np.round(DOTS_MM * PPI / 25.4) * 25.4 / PPI
    return through(truth.asked_to_px, asked)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("tilt_deg", [-5.0, 0.0, 1.3, 5.0])
def test_dots_lie_where_the_truth_puts_them(printed: Print, turn: int, tilt_deg: float) -> None:
    scanned = scan(printed, plain(turn=turn, tilt_deg=tilt_deg))
    meant = dots_in_file(scanned.truth[0])
    assert np.abs(centroids(scanned, meant) - meant).max() < 0.06  # px of 85 µm: 5 µm


@pytest.mark.parametrize("ppi", [150, 400, 600])
def test_truth_holds_at_other_resolutions(printed: Print, ppi: int) -> None:
    scanned = scan(printed, plain(ppi=ppi, tilt_deg=2.0))
    meant = dots_in_file(scanned.truth[0])
    assert np.abs(centroids(scanned, meant, reach=22 * ppi // 300) - meant).max() < 0.06


def test_a_crop_moves_the_origin_and_shortens_the_file(printed: Print) -> None:
    whole, cut = scan(printed, plain()), scan(printed, plain(crop_mm=(8.0, 7.0, 3.0, 2.0)))
    per_mm = 300 / 25.4
    assert cut.image.shape[1] == pytest.approx(whole.image.shape[1] - 11 * per_mm, abs=1)
    assert cut.image.shape[0] == pytest.approx(whole.image.shape[0] - 9 * per_mm, abs=1)
    moved = whole.truth[0].sheet_to_px[:, 2] - cut.truth[0].sheet_to_px[:, 2]
    assert moved == pytest.approx([8 * per_mm, 7 * per_mm])
    meant = dots_in_file(cut.truth[0])
    assert np.abs(centroids(cut, meant) - meant).max() < 0.06


def test_the_scanners_own_error_of_scale_is_in_the_truth(printed: Print) -> None:
    scanned = scan(printed, plain(scale_x=1.01, scale_y=0.99))
    meant = dots_in_file(scanned.truth[0])
    assert np.abs(centroids(scanned, meant) - meant).max() < 0.06
    x, y = np.ptp(through(scanned.truth[0].sheet_to_px, np.array([[0, 0], SIZE_MM])), axis=0)
    assert (x, y) == pytest.approx((60 * 1.01 * 300 / 25.4, 40 * 0.99 * 300 / 25.4))


def test_the_sheets_corners_show_on_a_black_lid(printed: Print) -> None:
    scanned = scan(printed, plain(lid=0.02, tilt_deg=3.0, blur_um=0.0))
    light = scanned.image[..., 1] / 65535
    sheet = light > 0.5 * light.max()
    corners = through(
        scanned.truth[0].sheet_to_px, np.array([[0, 0], [60, 0], [60, 40], [0, 40]], dtype=float)
    )
    rows, columns = np.nonzero(sheet)
    assert columns.min() == pytest.approx(corners[:, 0].min(), abs=1.5)
    assert columns.max() + 1 == pytest.approx(corners[:, 0].max(), abs=1.5)
    assert rows.min() == pytest.approx(corners[:, 1].min(), abs=1.5)
    assert rows.max() + 1 == pytest.approx(corners[:, 1].max(), abs=1.5)


def test_quarter_turns_are_clockwise_as_seen(printed: Print) -> None:
    scanned = scan(printed, plain(turn=90))
    top_left, top_right = through(scanned.truth[0].sheet_to_px, np.array([[0, 0], [60, 0]], dtype=float))
    assert top_right[1] > top_left[1]  # the sheet's upper edge now runs down the file's right side
    assert top_left[0] > scanned.image.shape[1] / 2
    assert scanned.image.shape[0] > scanned.image.shape[1]


def test_two_sheets_lie_side_by_side_and_apart(printed: Print) -> None:
    scanned = scan([printed, printed], plain(tilt_deg=1.0))
    first, second = (through(one.sheet_to_px, np.array([[0, 0], [60, 0], [60, 40]])) for one in scanned.truth)
    assert second[:, 0].min() - first[:, 0].max() > 3 * 300 / 25.4
    for truth in scanned.truth:
        meant = dots_in_file(truth)
        assert np.abs(centroids(scanned, meant) - meant).max() < 0.06


def test_sheets_lie_where_the_layout_puts_them(printed: Print) -> None:
    layout = [OnBed(5, 60, 90), OnBed(70, 4)]
    scanned = scan([printed, printed], plain(bed_mm=(140.0, 130.0)), layout)
    assert scanned.image.shape[:2] == (round(130 * 300 / 25.4), round(140 * 300 / 25.4))
    corner = through(scanned.truth[0].sheet_to_px, np.array([[0.0, 40.0]]))[0]
    assert corner == pytest.approx([5 * 300 / 25.4, 60 * 300 / 25.4])
    for truth in scanned.truth:
        meant = dots_in_file(truth)
        assert np.abs(centroids(scanned, meant) - meant).max() < 0.06


def test_impossible_scans_are_refused(printed: Print) -> None:
    with pytest.raises(BadRequest, match="ppi"):
        ScannerModel(ppi=100)
    with pytest.raises(BadRequest, match="tilted"):
        ScannerModel(tilt_deg=6)
    with pytest.raises(BadRequest, match="cropped"):
        scan(printed, plain(crop_mm=(80.0, 0.0, 0.0, 0.0)))
    with pytest.raises(BadRequest, match="places"):
        scan([printed, printed], plain(), [OnBed(0, 0)])
    with pytest.raises(BadRequest, match="0 sheets"):
        scan([], plain())
