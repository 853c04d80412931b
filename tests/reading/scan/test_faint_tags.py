"""A tag that the search of the whole scan misses is read where the marks say that it lies."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadScan
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.marks.detections import see
from tackside.reading.scan.read import read_scan
from tests.reading.scan.prints import OTHER, TRIAL, planned, printed


def faded(path: Path, contrast: float, noise: float) -> Path:
    """A scan whose print has all but bleached: its contrast shrinks towards light grey, in noise."""
    whole = scan(printed(), ScannerModel(tilt_deg=-3.0, turn=90))
    light = whole.image / 65535
    pale = 0.9 - (0.9 - light) * contrast + np.random.default_rng(1).normal(0, noise, light.shape)
    write_scan(replace(whole, image=(np.clip(pale, 0, 1) * 65535).astype(np.uint16)), path)
    return path


def test_a_faded_print_is_still_known_for_its_trial(tmp_path: Path) -> None:
    path = faded(tmp_path / "scan.tif", contrast=0.06, noise=0.01)
    assert see(open_scan(path)).tags == ()  # so that the second look is what finds it
    reading = read_scan(path, planned())
    assert reading.trial == TRIAL
    assert "scan.tag-unread" not in [notice.code for notice in reading.notices]
    with pytest.raises(BadScan) as refusal:
        read_scan(path, planned(), trial=OTHER)
    assert refusal.value.message.code == "scan.another-trial"
    assert refusal.value.message.value("shown") == (TRIAL,)
    assert refusal.value.message.value("trial") == OTHER
