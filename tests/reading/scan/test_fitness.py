"""Evidence that is not fit is told and trusted less: sharpened, cut off, squeezed, photographed, half wet, mixed.

How far each widens the uncertainty is this project's own: docs/sources.md, S48.
"""

from __future__ import annotations

import io
import struct
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.errors import BadImage, BadScan
from tackside.messages.message import Message
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import craft_card
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.files import read_files
from tackside.reading.scan.fitness import dried, pattern
from tackside.reading.scan.image_file import jpeg_quality
from tackside.reading.scan.read import read_scan
from tackside.records import Reading
from tests.reading.scan import prints, scans
from tests.sheet import sheets

FLATBED = ScannerModel(ppi=300, space="srgb", bits=8, compression="none")


@pytest.fixture(scope="module")
def pixels() -> np.ndarray:
    return np.asarray(scan(prints.printed(), FLATBED).image)


def read(pixels: np.ndarray, path: Path, **how: object) -> Reading:
    return read_scan(scans.save(pixels, path, **how), prints.planned())  # type: ignore[arg-type]


def stated(reading: Reading) -> dict[str, float]:
    """The flaws by which a reading is unfit: code and degree. Each is told in a notice of the same code."""
    unfit = {flaw.code: flaw.degree for flaw in reading.flaws if not flaw.weakens_only}
    assert unfit.keys() <= {notice.code for notice in reading.notices}
    return unfit


def test_a_plain_scan_is_fit(pixels: np.ndarray, tmp_path: Path) -> None:
    reading = read(pixels, tmp_path / "scan.png")
    assert "unfit" not in reading.attributes
    # Saturated inks lie outside sRGB: weaker evidence, and no unfit one.
    assert [flaw.code for flaw in reading.flaws if not flaw.weakens_only] == []
    assert {notice.code for notice in reading.notices} <= {"scan.clipped", "scan.own-sharpness-unknown"}


def test_automatic_sharpening_is_told(pixels: np.ndarray, tmp_path: Path) -> None:
    soft = cv2.GaussianBlur(pixels, (0, 0), 2.0).astype(float)
    keen = np.clip(pixels + 0.8 * (pixels - soft), 0, 255).astype(np.uint8)
    plain = read(pixels, tmp_path / "a.png")
    reading = read(keen, tmp_path / "scan.png")
    assert reading.attributes["unfit"].value == 0.5
    assert stated(reading) == {"scan.sharpened": 0.5}
    assert reading.uncertainty.de00 > plain.uncertainty.de00


def test_automatic_tone_is_told(pixels: np.ndarray, tmp_path: Path) -> None:
    stretched = np.clip((pixels.astype(float) - 70) * 255 / 140, 0, 255).astype(np.uint8)
    reading = read(stretched, tmp_path / "scan.png")
    assert reading.attributes["unfit"].value == 0.5
    assert "scan.both-ends-cut-off" in stated(reading)


@pytest.mark.parametrize("quality", [20, 50])
def test_a_heavy_jpeg_is_told_and_so_is_one_saved_anew(
    pixels: np.ndarray, tmp_path: Path, quality: int
) -> None:
    jpeg = scans.save(pixels, tmp_path / "scan.jpg", Q=quality)
    reading = read_scan(jpeg, prints.planned())
    assert stated(reading)["scan.heavy-jpeg"] == 0.5
    told = Message("scan.heavy-jpeg", file="scan.jpg", quality=quality)
    assert told in reading.notices
    again = np.asarray(Image.open(jpeg))
    saved = read(again, tmp_path / "again.png")
    assert stated(saved)["scan.once-heavy-jpeg"] == 0.5
    fine = read_scan(scans.save(pixels, tmp_path / "fine.jpg", Q=92), prints.planned())
    assert "unfit" not in fine.attributes


@pytest.mark.parametrize("quality", [25, 50, 75, 90, 100])
def test_jpegs_quality_is_read_from_its_table(quality: int) -> None:
    # Pillow writes annex K's tables scaled by the common rule.
    stream = io.BytesIO()
    Image.new("RGB", (64, 64), (90, 120, 40)).save(stream, "JPEG", quality=quality)
    assert jpeg_quality(stream.getvalue()) == pytest.approx(quality, abs=2)
    assert jpeg_quality(b"\xff\xd8\xff\xdb\0") is None
    assert jpeg_quality(stream.getvalue()[:40]) is None


def test_a_photograph_is_told_by_its_lens(pixels: np.ndarray, tmp_path: Path) -> None:
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb", xres=300 / 25.4, yres=300 / 25.4)
    image.set_type(
        pyvips.GValue.gstr_type, "exif-ifd2-FNumber", "18/10 (f/1.8, Rational, 1 components, 8 bytes)"
    )
    image.write_to_file(str(tmp_path / "phone.jpg"), Q=95)
    reading = read_scan(tmp_path / "phone.jpg", prints.planned())
    assert reading.attributes["unfit"].value == 1.0
    assert reading.uncertainty.de00 >= 8
    assert reading.uncertainty.comparable_with.startswith("unfit")
    assert stated(reading) == {"scan.photograph-by-tags": 1.0}


def test_a_picture_taken_askew_gives_no_confident_colour(pixels: np.ndarray, tmp_path: Path) -> None:
    height, width = pixels.shape[:2]
    square = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    leant = square + np.array([[0, 0], [0, 0], [-60, 0], [60, 0]], np.float32)
    turned = cv2.warpPerspective(pixels, cv2.getPerspectiveTransform(square, leant), (width, height))
    with pytest.raises(BadScan) as refusal:
        read(np.asarray(turned), tmp_path / "askew.png")
    assert refusal.value.message.code == "scan.not-flat"
    # Leaning so little that the marks still lie near a plane, it is read, but no colour is concluded from it.
    little = square + np.array([[0, 0], [0, 0], [-9, 0], [9, 0]], np.float32)
    turned = cv2.warpPerspective(pixels, cv2.getPerspectiveTransform(square, little), (width, height))
    reading = read(np.asarray(turned), tmp_path / "leant.png")
    assert reading.attributes["unfit"].value == 1.0


def test_uneven_light_is_told(pixels: np.ndarray, tmp_path: Path) -> None:
    fall = np.linspace(1.0, 0.75, pixels.shape[1])[None, :, None]
    reading = read((pixels * fall).astype(np.uint8), tmp_path / "scan.png")
    assert "scan.uneven-light" in stated(reading)
    assert reading.attributes["unfit"].value >= 0.5


def test_a_screens_grid_is_told(pixels: np.ndarray, tmp_path: Path) -> None:
    rows, columns = np.mgrid[0 : pixels.shape[0], 0 : pixels.shape[1]]
    grid = 1.0 + 0.06 * np.sin(2 * np.pi * (columns / 5.3 + rows / 41.0))
    reading = read(np.clip(pixels * grid[..., None] * 0.94, 0, 255).astype(np.uint8), tmp_path / "scan.png")
    assert reading.attributes["unfit"].value == 1.0
    assert stated(reading)["scan.screen-pattern"] == 1.0


def test_a_pattern_is_a_wave_and_not_noise() -> None:
    rng = np.random.default_rng(3)
    noise = rng.standard_normal((40, 40))
    assert pattern(noise)[1] < 0.2
    wave = 3 * np.sin(2 * np.pi * np.arange(40) / 5)[None, :] + 0.1 * noise
    assert pattern(wave)[0] == pytest.approx(3.0, rel=0.05)


def test_scans_of_two_prints_are_not_joined(tmp_path: Path) -> None:
    one = prints.scanned(tmp_path / "one.tif", prints.printed())
    other = prints.scanned(tmp_path / "other.tif", prints.printed(stock=craft_card()))
    with pytest.raises(BadScan) as refusal:
        read_files([one, other], prints.planned())
    assert refusal.value.message.code == "reading.mixed-prints"
    again = prints.scanned(tmp_path / "again.tif", prints.printed())
    assert read_files([one, again], prints.planned()).patches


def test_a_print_that_is_not_dry_is_trusted_less(tmp_path: Path) -> None:
    reading = read_scan(prints.scanned(tmp_path / "scan.tif", prints.printed()), prints.planned())
    # Touch-dry after 5 to 30 minutes, measured after 24 hours (docs/sources.md, S58); how much less is our own (S48).
    wet, young = dried(reading, 0.25), dried(reading, 5.0)
    assert wet.notices[0] == Message("reading.half-wet", hours=0.25)
    assert stated(wet) == {"reading.half-wet": 0.5}
    assert wet.attributes["unfit"].value == 0.5
    assert wet.uncertainty.de00 > young.uncertainty.de00 > reading.uncertainty.de00
    assert dried(reading, None) == dried(reading, 48.0) == reading


def test_a_perfect_scan_in_srgb_has_nothing_to_say(tmp_path: Path) -> None:
    laid = scans.lay("a6")
    reading = read_scan(scans.save(laid.pixels, tmp_path / "scan.png"), sheets.plan("a6"), trial=scans.TRIAL)
    assert "scan.clipped" not in [notice.code for notice in reading.notices]


def test_a_tiff_of_luma_and_chroma_is_refused(tmp_path: Path) -> None:
    image = Image.new("YCbCr", (300, 300), (120, 90, 180))
    image.save(tmp_path / "ycc.tif", compression=None)
    with pytest.raises(BadScan) as refusal:
        read_scan(tmp_path / "ycc.tif", prints.planned())
    assert refusal.value.message == Message("scan.ycbcr", file="ycc.tif")
    # A directory that points beyond the file is the decoder's business, and never a traceback.
    (tmp_path / "torn.tif").write_bytes(b"II*\0" + struct.pack("<I", 1 << 31) + bytes(64))
    with pytest.raises(BadImage):
        read_scan(tmp_path / "torn.tif", prints.planned())


def test_a_cockled_sheet_gives_no_rotation_or_offset(tmp_path: Path) -> None:
    scanner = replace(FLATBED, lid=0.3)
    flat = np.asarray(scan(prints.printed(printer=PrinterModel()), scanner).image)
    rows, columns = np.mgrid[0 : flat.shape[0], 0 : flat.shape[1]].astype(np.float32)
    heave = 1.6 * np.sin(columns / flat.shape[1] * 9.0) * np.cos(rows / flat.shape[0] * 7.0)  # px; 135 µm
    bent = cv2.remap(flat, columns + heave, rows - heave, cv2.INTER_LINEAR)
    reading = read(np.asarray(bent), tmp_path / "bent.png")
    assert reading.placement is not None
    assert reading.placement.residual_um > 60
    assert reading.placement.rotation_deg is None
    assert reading.placement.offset_mm is None
    assert "reading.not-flat" in [notice.code for notice in reading.notices]
    plain = read(flat, tmp_path / "flat.png")
    assert plain.placement is not None
    assert plain.placement.offset_mm is not None
