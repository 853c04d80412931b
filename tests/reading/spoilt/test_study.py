"""How surely settings are told and how seldom clean scans are accused, on scans of presses that differ each time: a
part of ``benchmarks/spoilt.py``, whose table has more of them (docs/sources.md, S178).
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import numpy as np
import pytest
from training import spoiling
from training.spoilt_seen import see

from tackside.reading.scan.locate import locate

PRINTS, GLASSES = (0, 1, 2), 2
# Strong enough to move colours or sharpness on any scan.
STRONG = (
    "autocontrast 2",
    "S-curve 0.6",
    "unsharp 1 px 80 %",
    "unsharp 2 px 120 %",
    "JPEG 40, saved as TIFF",
    "JPEG 75, saved as TIFF",
    "2 × nearest",
    "red and blue exchanged",
)


@pytest.mark.slow
def test_strong_settings_are_told_and_clean_scans_are_not_accused(tmp_path: Path) -> None:
    told, tried, accused = 0, 0, 0
    for number, glass in product(PRINTS, range(GLASSES)):
        rng = np.random.default_rng([90210, number, glass])
        clean = spoiling.under_glass(rng, *spoiling.press_print(90210, number, ppi=300.0))
        located = locate(spoiling.save(clean.pixels, clean, tmp_path / "scan.tif"), clean.plan, clean.trial)
        accused += bool(see(located, clean.pixels).told)
        for name in STRONG:
            kind, operation = spoiling.SETTINGS[name]
            if kind == "tone" and clean.bits == 16:
                continue  # a curve in 16 bits leaves no trace between the ends
            tried += 1
            told += kind in see(located, operation(clean.pixels)).told
    assert accused == 0
    assert told >= 0.95 * tried
