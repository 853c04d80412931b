"""The overlay shows where patches were read and marks were found, and changes nothing else."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tackside.press.scanner.scanner_model import ScannerModel
from tackside.reading.scan.locate import locate
from tackside.reading.scan.overlay import MARKS, overlay
from tests.reading.scan.prints import TRIAL, planned, printed, scanned


def test_outlines_lie_on_the_patches_and_marks(tmp_path: Path) -> None:
    path = scanned(tmp_path / "scan.tif", printed(), ScannerModel(tilt_deg=2.0))
    located = locate(path, planned(), TRIAL)
    height, width = located.scan.pixels.shape[:2]
    picture = overlay(located, width_px=width)
    assert picture.shape == (height, width, 3)
    plain = (located.scan.pixels // 257).astype(np.uint8)
    changed = np.any(picture != plain, axis=2)
    assert changed.mean() < 0.1
    for patch in planned().patches:
        x, y = located.sheet.map.to_px(patch.box_mm.centre)
        reach = int(patch.box_mm.w / 2 * located.sheet.map.px_per_mm)
        assert changed[int(y) - reach : int(y) + reach, int(x) - reach : int(x) + reach].any()
    for _, seen in located.sheet.marks:
        x, y = seen.centre.astype(int)
        assert np.any(np.all(picture[y - 3 : y + 4, x - 3 : x + 4] == MARKS, axis=2))


def test_it_is_shrunk_to_the_width_asked_for(tmp_path: Path) -> None:
    located = locate(scanned(tmp_path / "scan.tif", printed()), planned(), TRIAL)
    assert overlay(located, width_px=400).shape[1] == 400
