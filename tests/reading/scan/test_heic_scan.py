"""A phone's HEIC opened as a scan is: upright, with its profile and what its tags say; damage costs one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadImage, BadScan
from tackside.files import heic as unpacking
from tackside.profile.icc.working_space import working_space_profile
from tackside.reading.files import kind_of
from tackside.reading.scan import image_file
from tackside.reading.scan.image_file import open_scan
from tests.heic import heic, wedge
from tests.refusals import refused


def test_it_is_opened_as_a_photograph(tmp_path: Path) -> None:
    stored = wedge(400, 300)
    made = heic(stored, orientation=6, exif={271: "Invented"}, profile=working_space_profile("adobe-rgb"))
    (tmp_path / "a.heic").write_bytes(made)
    assert kind_of(tmp_path / "a.heic") == "scan"
    scan = open_scan(tmp_path / "a.heic")
    assert scan.pixels.shape == (400, 300, 3)
    assert np.abs(scan.pixels.astype(int) - np.rot90(stored, -1)).mean() < 2
    assert scan.profile == working_space_profile("adobe-rgb")
    assert (scan.stated_ppi, scan.bits) == (None, 8)
    assert scan.origin.camera
    assert scan.origin.make == "Invented"


def test_what_cannot_be_unpacked_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = heic(wedge(400, 300))
    (tmp_path / "short.heic").write_bytes(whole[: len(whole) // 2])
    with refused(BadImage, "scan.damaged"):
        open_scan(tmp_path / "short.heic")
    (tmp_path / "small.heic").write_bytes(heic(wedge(64, 64)))
    with refused(BadImage, "scan.too-few-pixels"):
        open_scan(tmp_path / "small.heic")
    (tmp_path / "bright.heic").write_bytes(heic(wedge(), nclx=(9, 16)))
    with refused(BadScan, "scan.hdr"):
        open_scan(tmp_path / "bright.heic")
    (tmp_path / "whole.heic").write_bytes(whole)
    monkeypatch.setattr(image_file, "MOST_HELD_BYTES", 300_000)
    monkeypatch.setattr(unpacking.Heic, "pixels", lambda _: pytest.fail("it was unpacked"))
    with refused(BadImage, "scan.too-many-pixels"):
        open_scan(tmp_path / "whole.heic")
