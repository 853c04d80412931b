"""What a scan's file says of its scanner: tags of TIFF 6.0 and Exif, written here by Pillow, and the key they make."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.uncertainty import ScanSettings, file_says, settings_of, uncertainty_of
from tackside.records.reading import FileSays

MAKE, MODEL, SOFTWARE, EXIF, GAMMA, CONTRAST = 271, 272, 305, 0x8769, 0xA500, 0xA408


def saved(path: Path, *, tagged: bool = True) -> Path:
    tags = Image.Exif()
    if tagged:
        tags[MAKE], tags[MODEL], tags[SOFTWARE] = "Invented Makers", "F1", "Scan | Program 2"
        tags.get_ifd(EXIF).update({CONTRAST: 1, GAMMA: IFDRational(22, 10)})
    Image.fromarray(np.full((250, 250, 3), 180, np.uint8)).save(path, exif=tags, dpi=(300, 300))
    return path


def says(path: Path) -> FileSays:
    scan = open_scan(path)
    return file_says(scan, settings_of(scan, 300.0))


@pytest.mark.parametrize("name", ["scan.tif", "scan.jpg", "scan.png"])
def test_maker_program_and_settings_are_read_from_the_tags(tmp_path: Path, name: str) -> None:
    told = says(saved(tmp_path / name))
    assert (told.make, told.model, told.software) == ("Invented Makers", "F1", "Scan / Program 2")
    assert (told.ppi, told.bits, told.profile, told.names_scanner) == (300, 8, None, True)
    if name != "scan.tif":  # Pillow writes no Exif directory into a TIFF
        assert dict(told.settings) == pytest.approx({"Contrast": 1.0, "Gamma": 2.2})


@pytest.mark.parametrize("name", ["scan.tif", "scan.jpg", "scan.png"])
def test_a_file_without_tags_names_no_scanner(tmp_path: Path, name: str) -> None:
    assert says(saved(tmp_path / name, tagged=False)) == FileSays(ppi=300, bits=8)


def test_tags_that_lead_outside_the_file_are_left_out(tmp_path: Path) -> None:
    # The model's 40 letters would stand far beyond the end.
    path = saved(tmp_path / "scan.tif")
    whole = bytearray(path.read_bytes())
    at = whole.find((MODEL).to_bytes(2, "little") + b"\x02\x00")
    whole[at + 4 : at + 12] = (40).to_bytes(4, "little") + (1 << 30).to_bytes(4, "little")
    path.write_bytes(whole)
    assert says(path).model is None


def test_files_that_name_a_scanner_and_say_the_same_share_a_key() -> None:
    settings = ScanSettings(300, 8, None)
    one = FileSays(make="Invented Makers", model="F1", ppi=300, bits=8)
    same = uncertainty_of(settings, None, ["1"], one).comparable_with
    assert uncertainty_of(settings, None, ["2"], one).comparable_with == same
    for other in (
        one.model_copy(update={"model": "F2"}),
        one.model_copy(update={"software": "Scan 2"}),
        one.model_copy(update={"settings": (("Gamma", 2.2),)}),
        FileSays(software="Scan 2", ppi=300, bits=8),
    ):
        assert uncertainty_of(settings, None, ["2"], other).comparable_with != same
