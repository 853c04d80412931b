"""Rotation and offset: right where the sheet's edges show, and not given where they do not."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from tackside.reading.scan.read import read_scan
from tackside.records import Placement
from tests.reading.scan.scans import TRIAL, lay, lay_pixels, save
from tests.sheet import sheets

PLAN = sheets.plan("a6")
PAPER = 255
RNG = np.random.default_rng(5)


def placement(pixels: np.ndarray, folder: Path, ppi: float = 300.0) -> Placement:
    found = read_scan(save(pixels, folder / "scan.tif", ppi=ppi), PLAN, trial=TRIAL).placement
    assert found is not None
    return found


def shifted(dx_mm: float, dy_mm: float) -> np.ndarray:
    """The sheet with its print moved on the paper."""
    per_mm = PLAN.ppi / 25.4
    move = np.array([[1.0, 0.0, dx_mm * per_mm], [0.0, 1.0, dy_mm * per_mm]])
    height, width = sheets.image("a6").shape[:2]
    return np.asarray(
        cv2.warpAffine(sheets.image("a6"), move, (width, height), borderValue=(PAPER, PAPER, PAPER))
    )


@pytest.mark.parametrize(
    "lid", [0, 205, 250, *(pytest.param(each, marks=pytest.mark.slow) for each in (128, 240))]
)
@pytest.mark.parametrize(
    "angle", [-4.0, *(pytest.param(each, marks=pytest.mark.slow) for each in (0.0, 92.5))]
)
def test_offset_is_found_on_any_lid_that_is_not_paper_white(lid: int, angle: float, tmp_path: Path) -> None:
    found = placement(lay_pixels(shifted(0.6, -0.9), PLAN, 300, angle, lid).pixels, tmp_path)
    assert found.rotation_deg == pytest.approx(0, abs=0.02)
    assert found.offset_mm == pytest.approx((0.6, -0.9), abs=0.05)


@pytest.mark.parametrize("ppi", [150, 300])
@pytest.mark.parametrize("noise", [0.0, 3.0])
def test_a_lid_as_white_as_the_paper_gives_no_offset(ppi: float, noise: float, tmp_path: Path) -> None:
    pixels = lay(ppi=ppi, tilt_deg=1.5, lid=PAPER).pixels * (245 / 255) + RNG.normal(0, noise, (1, 1, 3))
    pixels = pixels + RNG.normal(0, noise, pixels.shape)
    found = placement(np.clip(pixels, 0, 255).astype(np.uint8), tmp_path, ppi)
    assert (found.rotation_deg, found.offset_mm) == (None, None)


@pytest.mark.parametrize("dark", [0.1, 0.4])
def test_a_shadow_line_alone_tells_the_edges(dark: float, tmp_path: Path) -> None:
    """A lid as white as the paper, and a soft shadow beside two edges."""
    laid = lay_pixels(shifted(-0.4, 0.5), PLAN, 300, 1.0, PAPER)
    rows, columns = np.mgrid[0 : laid.pixels.shape[0], 0 : laid.pixels.shape[1]] + 0.5
    linear, shift = laid.to_px[:, :2], laid.to_px[:, 2]
    x, y = np.moveaxis((np.stack([columns, rows], -1) - shift) @ np.linalg.inv(linear).T, -1, 0)
    beyond = np.maximum(x - PLAN.size_mm[0], y - PLAN.size_mm[1])
    shade = np.where(beyond > 0, dark * np.exp(-np.maximum(beyond, 0) / 0.4), 0.0)
    shaded = laid.pixels * (0.95 * (1 - shade))[..., None] + RNG.normal(0, 1, laid.pixels.shape)
    found = placement(np.clip(cv2.GaussianBlur(shaded, (0, 0), 0.6), 0, 255).astype(np.uint8), tmp_path)
    assert found.rotation_deg == pytest.approx(0, abs=0.03)
    assert found.offset_mm == pytest.approx((-0.4, 0.5), abs=0.15)


def test_edges_cut_off_by_the_scan_are_no_edges(tmp_path: Path) -> None:
    laid = lay(margin_mm=0.0)
    inside = laid.pixels[12:-12, 12:-12]  # a millimetre off each side: the scan's border is not the sheet's
    found = placement(np.ascontiguousarray(inside), tmp_path)
    assert (found.rotation_deg, found.offset_mm) == (None, None)


@pytest.mark.parametrize("enlarged", [1.02, 0.98])
def test_an_enlarged_or_shrunken_print_is_told_from_the_sheet(enlarged: float, tmp_path: Path) -> None:
    height, width = sheets.image("a6").shape[:2]
    about_the_middle = np.array(
        [[enlarged, 0, (1 - enlarged) * width / 2], [0, enlarged, (1 - enlarged) * height / 2]]
    )
    printed = cv2.warpAffine(
        sheets.image("a6"), about_the_middle, (width, height), borderValue=(PAPER, PAPER, PAPER)
    )
    found = placement(lay_pixels(np.asarray(printed), PLAN, 300, 1.0).pixels, tmp_path)
    assert (found.scale_x, found.scale_y) == pytest.approx((enlarged, enlarged), rel=0.0005)
    expected = tuple((1 - enlarged) * side / 2 for side in PLAN.size_mm)
    assert found.offset_mm == pytest.approx(expected, abs=0.1)
