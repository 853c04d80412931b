"""What is no scan of this sheet is refused in one sentence with its fix."""

from __future__ import annotations

import os
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from tackside.errors import BadImage, BadScan, TacksideError
from tackside.messages.message import Message
from tackside.reading.files import read_files
from tackside.reading.scan.read import read_scan
from tests.reading.scan.scans import LID, TRIAL, lay, lay_pixels, save
from tests.sheet import sheets

PLAN = sheets.plan("a6")
Spoil = Callable[[np.ndarray, Path], Path]


def grey(pixels: np.ndarray, folder: Path) -> Path:
    return save(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), folder / "s.tif", profile=None)


def grey_as_rgb(pixels: np.ndarray, folder: Path) -> Path:
    return save(np.repeat(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)[..., None], 3, axis=2), folder / "s.jpg")


def cmyk(pixels: np.ndarray, folder: Path) -> Path:
    Image.fromarray(pixels).convert("CMYK").save(folder / "s.tif")
    return folder / "s.tif"


def mirrored(pixels: np.ndarray, folder: Path) -> Path:
    return save(pixels[:, ::-1], folder / "s.png")


def negative(pixels: np.ndarray, folder: Path) -> Path:
    return save(255 - pixels, folder / "s.png")


def blank(pixels: np.ndarray, folder: Path) -> Path:
    return save(np.full_like(pixels, 250), folder / "s.png")


def noise(pixels: np.ndarray, folder: Path) -> Path:
    return save(np.random.default_rng(1).integers(0, 256, pixels.shape, dtype=np.uint8), folder / "s.png")


def two_marks(pixels: np.ndarray, folder: Path) -> Path:
    return save(pixels[: pixels.shape[0] // 3], folder / "s.png")


def tiny(pixels: np.ndarray, folder: Path) -> Path:
    return save(cv2.resize(pixels, (120, 90)), folder / "s.png")


def bent(pixels: np.ndarray, folder: Path) -> Path:
    """A sheet that cockled by more than a millimetre."""
    rows, columns = np.mgrid[0 : pixels.shape[0], 0 : pixels.shape[1]].astype(np.float32)
    wave = (14 * np.sin(rows / 90)).astype(np.float32)
    return save(cv2.remap(pixels, columns + wave, rows, cv2.INTER_LINEAR), folder / "s.png")


@pytest.mark.parametrize(
    ("spoil", "code", "values"),
    [
        (grey, "scan.grey", {}),
        (grey_as_rgb, "scan.grey-saved-as-rgb", {}),
        (cmyk, "scan.cmyk", {}),
        (mirrored, "scan.mirrored", {}),
        (negative, "scan.no-marks", {}),
        (blank, "scan.no-marks", {}),
        (noise, "scan.no-marks", {}),
        (two_marks, "scan.few-marks", {"count": 2}),
        (tiny, "scan.too-few-pixels", {"width": 120, "height": 90}),
        (bent, "scan.not-flat", {}),
    ],
)
def test_an_image_that_cannot_be_read_is_refused_with_its_reason(
    spoil: Spoil, code: str, values: dict[str, int], tmp_path: Path
) -> None:
    path = spoil(lay(tilt_deg=1).pixels, tmp_path)
    with pytest.raises((BadScan, BadImage)) as refusal:
        read_scan(path, PLAN, trial=TRIAL)
    said = refusal.value.message
    assert said.code == code
    assert {"file": path.name, **values}.items() <= said.values.items()
    assert_plain(refusal.value)


def test_the_sheet_of_another_trial_is_named(tmp_path: Path) -> None:
    other = sheets.plan_sheet(sheets.STOCKS["a6"], sheets.printer(), trial_id="ABCDEFGH")
    path = save(lay_pixels(sheets.render(other), other, 300, 2.0).pixels, tmp_path / "scan.tif")
    with pytest.raises(BadScan, match=rf"trial ABCDEFGH, not of {TRIAL}.*tackside read ABCDEFGH scan.tif"):
        read_scan(path, PLAN, trial=TRIAL)


def test_another_layout_is_refused_even_under_the_same_trial(tmp_path: Path) -> None:
    path = save(lay("small-folded").pixels, tmp_path / "scan.tif")
    with pytest.raises(BadScan):
        read_scan(path, PLAN, trial=TRIAL)


def png_of(width: int, height: int) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    size = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


def tiff_of(width: int, height: int) -> bytes:
    fields = [(256, 4, width), (257, 4, height), (258, 3, 8), (259, 3, 1), (262, 3, 2), (273, 4, 200)]
    fields += [(277, 3, 3), (278, 4, height), (279, 4, 8)]
    entries = b"".join(struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in fields)
    return b"II*\0" + struct.pack("<IH", 8, len(fields)) + entries + bytes(400)


def jpeg_of(width: int, height: int) -> bytes:
    frame = (
        b"\xff\xc0\x00\x11\x08"
        + struct.pack(">HH", height, width)
        + b"\x03\x01\x11\x00\x02\x11\x00\x03\x11\x00"
    )
    start = b"\xff\xda\x00\x0c\x03\x01\x00\x02\x00\x03\x00\x00\x3f\x00"
    return b"\xff\xd8\xff\xe0\x00\x10JFIF\0\1\1\0\0\1\0\1\0\0" + frame + start + bytes(100)


def bmp_of(width: int, height: int) -> bytes:
    return b"BM" + struct.pack("<IIIIiiHHIIiiII", 100, 0, 54, 40, width, height, 1, 24, 0, 0, 0, 0, 0, 0)


@pytest.mark.parametrize(
    ("suffix", "data"),
    [
        ("png", png_of(40_000, 40_000)),
        ("png", png_of(2**31 - 1, 2**31 - 1)),
        ("tif", tiff_of(40_000, 30_000)),
        ("tif", tiff_of(2**32 - 1, 2**32 - 1)),
        ("jpg", jpeg_of(65_000, 65_000)),
        ("bmp", bmp_of(100_000, 100_000)),
        ("png", png_of(0, 0)),
        ("png", png_of(3000, 3000)),
        ("jpg", jpeg_of(3000, 3000)),
    ],
)
def test_a_header_that_promises_what_is_not_there_is_refused(
    suffix: str, data: bytes, tmp_path: Path
) -> None:
    path = tmp_path / f"claims.{suffix}"
    path.write_bytes(data)
    with pytest.raises(BadImage) as refusal:
        read_scan(path, PLAN, trial=TRIAL)
    assert_plain(refusal.value)


def nothing(path: Path) -> None:
    """No file at all."""


def pipe(path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    os.mkfifo(path)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (nothing, "reading.file-missing"),
        (Path.mkdir, "reading.folder"),
        (Path.touch, "reading.empty-file"),
        (pipe, "file.cannot-read"),
        (lambda path: path.write_text("good morning"), "reading.unknown-file"),
        (lambda path: path.write_bytes(bytes(range(256)) * 400), "reading.unknown-file"),
        (lambda path: path.write_bytes(b"\x89PNG\r\n\x1a\n"), "scan.cannot-be-opened"),
        (lambda path: path.write_text('<svg xmlns="http://www.w3.org/2000/svg"/>'), "instrument.not-cxf"),
        (lambda path: path.write_bytes(b"GIF89a" + bytes(500)), "reading.other-picture"),
    ],
)
def test_what_is_no_image_is_refused(make: Callable[[Path], object], code: str, tmp_path: Path) -> None:
    path = tmp_path / "scan.tif"
    make(path)
    with pytest.raises(TacksideError) as refusal:
        read_files([path], PLAN, trial=TRIAL)
    assert refusal.value.message.code == code
    assert_plain(refusal.value)


def assert_plain(error: TacksideError) -> None:
    """One line, what and fix, no full stop, nothing of the machinery."""
    for part in (error.what, error.fix):
        assert part
        assert "\n" not in part
        assert not part.endswith(".")
        assert not any(word in part for word in ("vips", "Error", "None", "cv2", "0x"))


def test_the_grey_lid_is_no_sheet(tmp_path: Path) -> None:
    path = save(np.full((1500, 1200, 3), LID, np.uint8), tmp_path / "lid.tif")
    with pytest.raises(BadScan) as refusal:
        read_scan(path, PLAN, trial=TRIAL)
    assert refusal.value.message == Message("scan.no-marks", file="lid.tif")
