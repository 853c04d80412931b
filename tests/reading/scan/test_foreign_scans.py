"""Scans as others make them: turned, tilted, coarse, washed out, cropped, in all the ways that files come."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import tifffile
from PIL import Image

from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.files import read_files
from tackside.reading.scan.read import read_scan
from tests.reading.scan.scans import TRIAL, errors, lay, lay_pixels, save, side_by_side
from tests.sheet import sheets

PLAN = sheets.plan("a6")
FOLDED = sheets.plan("small-folded")
RNG = np.random.default_rng(11)


def read_well(path: Path, plan: Any = PLAN, *, p95: float = 0.5) -> tuple[Message, ...]:
    """Read a scan, hold its colours and size to the sheet's own, and hand back its notices."""
    reading = read_scan(path, plan, trial=TRIAL)
    assert len(reading.patches) == len(plan.patches)
    assert np.percentile(errors(reading, plan), 95) <= p95
    assert reading.placement is not None
    assert abs(reading.placement.scale_x - 1) < 0.0005
    assert abs(reading.placement.scale_y - 1) < 0.0005
    return reading.notices


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("tilt", [-5.0, *(pytest.param(each, marks=pytest.mark.slow) for each in (0.0, 3.5))])
def test_any_turn_and_tilt_is_read(turn: int, tilt: float, tmp_path: Path) -> None:
    scan = lay(turn=turn, tilt_deg=tilt).pixels
    read_well(save(scan, tmp_path / "scan.tif"))


@pytest.mark.parametrize("ppi", [150, 200, 400, 600, pytest.param(1200, marks=pytest.mark.slow)])
def test_any_resolution_from_150_to_1200_ppi_is_read(ppi: float, tmp_path: Path) -> None:
    read_well(save(lay(ppi=ppi, tilt_deg=-3).pixels, tmp_path / "scan.tif", ppi=ppi))


@pytest.mark.parametrize(
    "name",
    [
        *(pytest.param(each, marks=pytest.mark.slow) for each in ("a4-folded", "10x7", "square")),
        "small",
        "small-folded",
    ],
)
def test_any_layout_is_read_at_the_coarsest_resolution(name: str, tmp_path: Path) -> None:
    read_well(
        save(lay(name, ppi=150, tilt_deg=2, turn=90).pixels, tmp_path / "s.png", ppi=150), sheets.plan(name)
    )


@pytest.mark.parametrize(
    ("options", "profile"),
    [({"space": "adobe-rgb"}, "adobe-rgb"), ({"purpose": "device"}, None), ({"side": "back"}, "srgb")],
)
def test_any_kind_of_sheet_is_read(options: dict[str, Any], profile: str | None, tmp_path: Path) -> None:
    path = save(lay(tilt_deg=1, **options).pixels, tmp_path / "scan.tif", profile=profile)
    read_well(path, sheets.plan("a6", **options))


@pytest.mark.parametrize("stated", [None, 72, 96, 150, 600, 1200])
def test_a_wrong_or_missing_resolution_is_made_good_and_told(stated: float | None, tmp_path: Path) -> None:
    notices = read_well(save(lay(tilt_deg=2).pixels, tmp_path / "scan.png", ppi=stated))
    code = "scan.no-resolution" if stated is None else "scan.resolution-differs"
    taken = [notice.value("ppi") for notice in notices if notice.code == code]
    assert taken == [pytest.approx(300, abs=0.5)]


def sixteen_bits(pixels: np.ndarray, path: Path) -> Path:
    return save(pixels.astype(np.uint16) * 257, path / "s.tif", compression="lzw")


def with_alpha(pixels: np.ndarray, path: Path) -> Path:
    return save(np.dstack([pixels, np.full(pixels.shape[:2], 255, np.uint8)]), path / "s.png")


def with_saved_selections(pixels: np.ndarray, path: Path) -> Path:
    """Two channels of the kind 0 (TIFF 6.0, section 18), which mean no colour and no transparency."""
    both = np.zeros((*pixels.shape[:2], 2), np.uint8)
    both[100:400, 100:400] = 255
    tifffile.imwrite(
        path / "s.tif", np.dstack([pixels, both]), photometric="rgb", extrasamples=(0, 0),
        resolution=(300, 300), resolutionunit="INCH",
    )  # fmt: skip
    return path / "s.tif"


def jpeg_on_its_side(pixels: np.ndarray, path: Path) -> Path:
    tags = Image.Exif()
    tags[0x0112] = 6
    Image.fromarray(pixels).save(path / "s.jpg", quality=95, dpi=(300, 300), exif=tags)
    return path / "s.jpg"


def jpeg_in_a_tiff(pixels: np.ndarray, path: Path) -> Path:
    Image.fromarray(pixels).save(path / "s.tif", compression="jpeg", quality=95, dpi=(300, 300))
    return path / "s.tif"


@pytest.mark.parametrize(
    "store",
    [
        lambda pixels, path: save(pixels, path / "s.png"),
        lambda pixels, path: save(pixels, path / "s.tif", tile=True, compression="deflate"),
        lambda pixels, path: save(pixels, path / "s.tif", bigtiff=True),
        lambda pixels, path: save(pixels, path / "named-wrongly.txt.tif"),
        lambda pixels, path: save(pixels, path / "s.jpg", Q=80),
        sixteen_bits,
        with_alpha,
        with_saved_selections,
        jpeg_on_its_side,
        jpeg_in_a_tiff,
    ],
)
def test_any_way_to_store_rgb_is_read(store: Callable[[np.ndarray, Path], Path], tmp_path: Path) -> None:
    read_well(store(lay(tilt_deg=-1).pixels, tmp_path), p95=1.5)


@pytest.mark.parametrize("black", [60, 90, 120])
@pytest.mark.parametrize("ppi", [150, 300])
def test_a_washed_out_print_is_found(black: int, ppi: float, tmp_path: Path) -> None:
    """Ink that never gets darker than L* 25, 38 or 50, with blur and noise."""
    faint = black + lay(ppi=ppi, tilt_deg=2).pixels * ((250 - black) / 255)
    faint = cv2.GaussianBlur(faint, (0, 0), 0.8) + RNG.normal(0, 2, faint.shape)
    path = save(np.clip(faint, 0, 255).astype(np.uint8), tmp_path / "faint.tif", ppi=ppi)
    reading = read_scan(path, PLAN, trial=TRIAL)
    assert len(reading.patches) == len(PLAN.patches)
    assert "scan.tag-unread" not in [notice.code for notice in reading.notices]


@pytest.mark.parametrize("cast", [(1.0, 0.8, 0.6), (0.4, 0.8, 1.0)])
def test_a_colour_cast_does_not_hide_the_marks(cast: tuple[float, float, float], tmp_path: Path) -> None:
    tinted = (lay(tilt_deg=2).pixels * np.array(cast)).astype(np.uint8)
    reading = read_scan(save(tinted, tmp_path / "cast.tif"), PLAN, trial=TRIAL)
    assert len(reading.patches) == len(PLAN.patches)


def test_three_marks_a_panel_are_enough(tmp_path: Path) -> None:
    laid = lay("a6")
    # The right-hand column of marks is cut off but for the topmost: what is covered is painted over.
    marks = sorted(PLAN.marks, key=lambda mark: (mark.box_mm.x, mark.box_mm.y))
    gone = marks[3:] if len(marks) > 3 else []
    for mark in gone:
        x, y, w, h = mark.box_mm
        corners = np.array([[x, y], [x + w, y + h]]) @ laid.to_px[:, :2].T + laid.to_px[:, 2]
        (left, top), (right, bottom) = corners.round().astype(int).tolist()
        laid.pixels[top - 8 : bottom + 8, left - 8 : right + 8] = 255
    reading = read_scan(save(laid.pixels, tmp_path / "scan.tif"), PLAN, trial=TRIAL)
    assert reading.placement is not None
    assert reading.placement.marks_found == 3
    assert len(reading.patches) == len(PLAN.patches)
    assert np.percentile(errors(reading, PLAN), 95) <= 0.5


def test_the_right_one_of_several_sheets_is_read(tmp_path: Path) -> None:
    other = sheets.plan_sheet(sheets.STOCKS["a6"], sheets.printer(), trial_id="ABCDEFGH")
    there = lay_pixels(sheets.render(other), other, 300, 91.0).pixels
    third = lay("small-folded", tilt_deg=-2).pixels
    bed = side_by_side(there, third, lay(tilt_deg=2).pixels)
    path = save(bed, tmp_path / "bed.tif")
    codes = {notice.code for notice in read_well(path)}
    assert not codes & {"scan.tag-unread", "scan.several-of-this-trial"}
    assert np.median(errors(read_scan(path, other, trial="ABCDEFGH"), other)) <= 0.1


def test_of_two_copies_one_is_read_and_that_is_told(tmp_path: Path) -> None:
    path = save(side_by_side(lay(tilt_deg=1).pixels, lay(turn=180).pixels), tmp_path / "copies.tif")
    assert Message("scan.several-of-this-trial", file="copies.tif", count=2) in read_well(path)


def without_tags(pixels: np.ndarray) -> np.ndarray:
    blank = pixels.copy()
    for tag in PLAN.tags:
        x, y, w, h = (round(each * PLAN.ppi / 25.4) for each in tag.box_mm)
        blank[y : y + h, x : x + w] = 255
    return blank


def test_a_sheet_without_its_tag_is_taken_on_trust_but_not_two(tmp_path: Path) -> None:
    alone = lay_pixels(without_tags(sheets.image("a6")), PLAN, 300, 1.0).pixels
    told = read_well(save(alone, tmp_path / "one.tif"))
    assert Message("scan.tag-unread", file="one.tif", trial=TRIAL) in told
    with pytest.raises(BadScan) as refusal:
        read_scan(save(side_by_side(alone, alone), tmp_path / "two.tif"), PLAN, trial=TRIAL)
    assert refusal.value.message == Message("scan.tag-not-read", file="two.tif", trial=TRIAL, count=2)


def test_a_folded_sheet_scanned_panel_by_panel_is_one_reading(tmp_path: Path) -> None:
    image = sheets.image("small-folded")
    half = image.shape[1] // 2
    whole = FOLDED.model_copy(update={"size_mm": (45.0, 90.0), "size_px": (half, image.shape[0])})
    files = [
        save(lay_pixels(part, whole, 300, angle).pixels, tmp_path / name)
        for part, angle, name in ((image[:, :half], 1.0, "back.tif"), (image[:, half:], 181.0, "front.tif"))
    ]
    reading = read_files(files, FOLDED, trial=TRIAL)
    assert len(reading.patches) == len(FOLDED.patches)
    assert [patch.name for patch in reading.patches] == [patch.name for patch in FOLDED.patches]
    assert np.percentile(errors(reading, FOLDED), 95) <= 0.5
    assert len(reading.further_sources) == 1


def test_without_a_profile_srgb_is_assumed_and_told(tmp_path: Path) -> None:
    path = save(lay().pixels, tmp_path / "scan.tif", profile=None)
    assert Message("scan.no-profile") in read_well(path)
    assert read_scan(path, PLAN, trial=TRIAL).profile is None


def test_readings_of_other_settings_or_devices_are_not_comparable(tmp_path: Path) -> None:
    fine = save(lay().pixels, tmp_path / "300.tif")
    coarse = save(lay(ppi=200).pixels, tmp_path / "200.tif", ppi=200)
    bare = save(lay().pixels, tmp_path / "bare.tif", profile=None)

    def key(path: Path, device: str | None) -> str:
        return read_scan(path, PLAN, trial=TRIAL, device=device).uncertainty.comparable_with

    again = save(lay(turn=90).pixels, tmp_path / "again.tif")
    assert key(fine, "flatbed") == key(again, "flatbed")
    keys = [key(fine, "flatbed"), key(fine, "other"), key(coarse, "flatbed"), key(bare, "flatbed")]
    assert len(set(keys)) == 4
    assert key(fine, None) != key(again, None)
