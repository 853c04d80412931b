"""A scan may be cropped as long as three marks of a panel are in; what is out is left out, and said."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.reading.scan.read import read_scan
from tests.reading.scan.prints import A_LITTLE_OFF, TWO_PANELS, off_by, planned, printed, scanned

# A vertical crease: the back lies left, the front right.
PORTRAIT = (105.0, 148.0)  # marks in two columns of three
HALF_MM = TWO_PANELS[0] / 2 + 6  # of the bed, whose margin is 6 mm


def panels_of(names: set[str]) -> set[str]:
    return {patch.panel for patch in planned(TWO_PANELS).patches if patch.name in names}


@pytest.mark.parametrize("tilt_deg", [-2.0, 1.0])
def test_one_row_of_marks_is_steadied_by_the_patches(tmp_path: Path, tilt_deg: float) -> None:
    """Three marks in one row tell nothing of the scale across it, and this print is scaled unevenly."""
    print_, plan = printed(PORTRAIT), planned(PORTRAIT)
    left = max(mark.box_mm.x for mark in plan.marks if mark.box_mm.x < PORTRAIT[0] / 2)
    # The left column of marks is cut off, and the bed's margin of 6 mm with it.
    scanner = ScannerModel(tilt_deg=tilt_deg, crop_mm=(left + 15.0, 0.0, 0.0, 0.0))
    reading = read_scan(scanned(tmp_path / "scan.tif", print_, scanner), plan)
    assert reading.placement is not None
    assert reading.placement.marks_found == 3
    assert reading.placement.scale_x == pytest.approx(A_LITTLE_OFF.scale_x, rel=5e-4)
    assert reading.placement.scale_y == pytest.approx(A_LITTLE_OFF.scale_y, rel=5e-4)
    assert np.percentile(off_by(reading, print_), 95) < 2.5


def test_the_panel_that_is_in_is_read_and_the_other_is_named(tmp_path: Path) -> None:
    plan = planned(TWO_PANELS)
    bearing = {patch.panel for patch in plan.patches}
    for panel, crop in (("back", (0.0, 0.0, HALF_MM, 0.0)), ("front", (HALF_MM, 0.0, 0.0, 0.0))):
        path = scanned(tmp_path / f"{panel}.tif", printed(TWO_PANELS), ScannerModel(crop_mm=crop))
        if panel not in bearing:
            with pytest.raises(BadScan) as refusal:
                read_scan(path, plan)
            assert refusal.value.message == Message("reading.no-patches", files=(path.name,))
            continue
        reading = read_scan(path, plan)
        assert panels_of({patch.name for patch in reading.patches}) == {panel}
        assert np.percentile(off_by(reading, printed(TWO_PANELS)), 95) < 2.5


def test_fewer_than_three_marks_are_refused(tmp_path: Path) -> None:
    plan = planned()
    left = max(mark.box_mm.x for mark in plan.marks) - 1.0 + 6
    path = scanned(
        tmp_path / "scan.tif", printed(), ScannerModel(crop_mm=(left, plan.size_mm[1] / 2 + 6 + 12, 0, 0))
    )
    with pytest.raises(BadScan) as refusal:
        read_scan(path, plan)
    assert refusal.value.message.code == "scan.few-marks"
    assert refusal.value.message.value("count") in (1, 2)
