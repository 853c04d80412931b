"""The whole way: sheet, press, scan, reading, correction, press, scan, and the error that is left at the corners."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tackside.fit.placement.correction import Correction, corners_of, matrix_of, moved
from tackside.fit.placement.measured import correction_from
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import mm_map_to_px, print_sheet
from tackside.press.printer.stock_model import semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.scan.read import read_scan
from tackside.records import Placement
from tests.sheet import sheets

pytestmark = pytest.mark.slow

# A fault of our own choice, as large as is seen (docs/sources.md, S17): 1.3 mm of shift, 0.996 along the feed,
# 0.3° of turn.
OFF_TRUE = PrinterModel(offset_mm=(1.3, -1.3), scale_y=0.996, rotation_deg=0.3)
ENLARGED = PrinterModel(offset_mm=(-0.4, 0.5), rotation_deg=-0.2, enlargement_mm=2.5)
DRIFTING = PrinterModel(offset_mm=(0.5, 1.1), scale_x=1.002, rotation_deg=0.1, skew_deg=0.25)


def printed_and_read(
    name: str, press: PrinterModel, folder: Path, tilt_deg: float, correction: Correction | None = None
) -> Placement:
    """Print the test sheet, corrected or not, scan it, and read where it fell."""
    plan = sheets.plan(name)
    image: NDArray[Any] = sheets.image(name)
    if correction is not None:
        image = cv2.warpAffine(
            image,
            mm_map_to_px(np.array(correction.matrix), plan.ppi, plan.ppi),
            image.shape[1::-1],
            flags=cv2.INTER_CUBIC,
            borderValue=(255, 255, 255),
        )
    print_ = print_sheet(image, plan.ppi, semi_gloss(), press, sheet_size_mm=plan.size_mm, at_ppi=300)
    write_scan(scan(print_, ScannerModel(tilt_deg=tilt_deg, compression="none")), folder / "scan.tif")
    placement = read_scan(folder / "scan.tif", plan, trial=sheets.TRIAL).placement
    assert placement is not None
    return placement


def furthest_corner(placement: Placement, size_mm: tuple[float, float]) -> float:
    """How far the sheet's corners lie from where they belong, in mm, at worst."""
    matrix = matrix_of(placement)
    assert matrix is not None
    return max(float(np.hypot(*np.subtract(moved(matrix, c), c))) for c in corners_of(size_mm))


@pytest.mark.parametrize(
    ("name", "press"),
    [("a5-folded", OFF_TRUE), ("10x7", ENLARGED), ("a6", DRIFTING)],
    ids=["off true", "borderless", "drifting"],
)
def test_one_trials_correction_brings_every_corner_within_two_tenths(
    name: str, press: PrinterModel, tmp_path: Path
) -> None:
    size = sheets.plan(name).size_mm
    trial = printed_and_read(name, press, tmp_path, 0.7)
    assert furthest_corner(trial, size) > 1.0  # there is something to correct
    correction = correction_from([trial], size)
    corrected = printed_and_read(name, press, tmp_path, -1.1, correction)
    assert furthest_corner(corrected, size) < 0.2
    # The press's own map agrees, without the scanner in between.
    printed = press.asked_to_printed(size)
    for corner in corners_of(size):
        asked = np.array(correction.apply([corner])[0])
        assert np.hypot(*(printed[:, :2] @ asked + printed[:, 2] - corner)) < 0.2
