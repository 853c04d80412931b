"""Which resolution is believed, and what makes two readings comparable."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.uncertainty import ScanSettings, resolution, settings_of, uncertainty_of


def image(stated_ppi: float | None) -> ScanImage:
    return ScanImage("scan.tif", "0" * 64, np.zeros((300, 300, 3), np.uint8), stated_ppi, None, ())


# docs/sources.md, S16: a small card fitted into margins of 3.4 mm loses up to 7 %, and borderless adds up to 5 %.
@pytest.mark.parametrize("scale", [0.935, 0.98, 1.0, 1.05])
def test_a_scaled_print_does_not_shake_the_files_word(scale: float) -> None:
    assert resolution(image(300.0), 300.0 * scale / 25.4) == (300.0, ())


@pytest.mark.parametrize("stated", [None, 72.0, 96.0, 150.0, 240.0, 600.0])
def test_a_missing_or_wrong_word_gives_way_to_the_marks_and_is_told(stated: float | None) -> None:
    ppi, notices = resolution(image(stated), 300.0 / 25.4)
    assert ppi == pytest.approx(300.0)
    assert [notice.code for notice in notices] == [
        "scan.no-resolution" if stated is None else "scan.resolution-differs"
    ]
    assert notices[0].value("ppi") == pytest.approx(300.0)


def test_the_prints_own_scale_does_not_part_scans_of_one_scanner() -> None:
    assert settings_of(image(None), 299.4) == settings_of(image(None), 301.2) == ScanSettings(300, 8, None)


def test_only_the_same_device_and_settings_or_the_same_file_are_comparable() -> None:
    fine, coarse = ScanSettings(600, 16, "Flatbed"), ScanSettings(300, 16, "Flatbed")
    same = uncertainty_of(fine, "A", ["1"]).comparable_with
    assert uncertainty_of(fine, "A", ["2"]).comparable_with == same
    for other in (
        uncertainty_of(coarse, "A", ["1"]),
        uncertainty_of(fine, "B", ["1"]),
        uncertainty_of(fine, None, ["1"]),
        uncertainty_of(ScanSettings(600, 16, None), "A", ["1"]),
    ):
        assert other.comparable_with != same
    assert uncertainty_of(fine, None, ["1"]) == uncertainty_of(fine, None, ["1"])
    assert uncertainty_of(fine, None, ["1"]) != uncertainty_of(fine, None, ["2"])


def test_a_scan_without_a_profile_is_trusted_less() -> None:
    with_profile = uncertainty_of(ScanSettings(300, 16, "Flatbed"), None, ["1"])
    without = uncertainty_of(ScanSettings(300, 16, None), None, ["1"])
    assert without.de00 > with_profile.de00 >= 2.0
    assert without.basis.code == "uncertainty.scan-no-profile"
    assert with_profile.basis.code == "uncertainty.scan-profile"
    assert "estimate" in str(without.basis)
    assert "estimate" in str(with_profile.basis)
