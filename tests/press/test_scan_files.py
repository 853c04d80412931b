"""Scans come back from their files with the same pixels, resolution and profile."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.errors import BadRequest, StorageTrouble
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel, office
from tackside.press.scanner.scanner_profile import scanner_profile
from tackside.press.scanner.scanning import Scan, scan
from tackside.profile.icc.inspect import describe, device_colour_space


def small_scan(scanner: ScannerModel) -> Scan:
    image = np.random.default_rng(5).integers(0, 256, (8, 12, 3), dtype=np.uint8).repeat(40, 0).repeat(40, 1)
    return scan(print_sheet(image, 600, semi_gloss(), PrinterModel()), scanner)


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize(
    ("name", "compression"), [("a.tif", "none"), ("a.tif", "lzw"), ("a.tiff", "deflate"), ("a.png", "none")]
)
def test_pixels_resolution_and_profile_survive(
    tmp_path: Path, name: str, compression: str, bits: int
) -> None:
    scanned = small_scan(ScannerModel(bits=bits, compression=compression, ppi=240))  # type: ignore[arg-type]
    write_scan(scanned, tmp_path / name)
    back = pyvips.Image.new_from_file(str(tmp_path / name))
    assert np.array_equal(back.numpy(), scanned.image)
    assert back.xres * 25.4 == pytest.approx(240, abs=0.02)  # PNG keeps whole pixels a metre
    assert back.get("icc-profile-data") == scanner_profile()
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_jpeg_is_near_and_8_bit(tmp_path: Path) -> None:
    scanned = small_scan(ScannerModel(quality=95))
    write_scan(scanned, tmp_path / "a.jpg")
    back = pyvips.Image.new_from_file(str(tmp_path / "a.jpg"))
    assert back.format == "uchar"
    assert np.abs(back.numpy() - scanned.image / 257.0).mean() < 4
    assert back.xres * 25.4 == pytest.approx(300, abs=0.5)
    assert back.get("icc-profile-data") == scanner_profile()


def test_a_file_without_profile_has_none(tmp_path: Path) -> None:
    write_scan(small_scan(replace(office(), embed=False)), tmp_path / "a.png")
    assert "icc-profile-data" not in pyvips.Image.new_from_file(str(tmp_path / "a.png")).get_fields()


def test_the_scanners_own_profile_is_an_rgb_input_profile_that_says_it_is_invented() -> None:
    assert "invented" in describe(scanner_profile())
    assert device_colour_space(scanner_profile()).strip() == "RGB"


def test_other_suffixes_and_missing_folders_are_refused(tmp_path: Path) -> None:
    scanned = small_scan(office())
    with pytest.raises(BadRequest):
        write_scan(scanned, tmp_path / "a.bmp")
    with pytest.raises(StorageTrouble):
        write_scan(scanned, tmp_path / "nowhere" / "a.tif")
    assert list(tmp_path.iterdir()) == []
