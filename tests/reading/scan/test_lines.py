"""Lines by ISO/IEC 24790, against lines whose attributes follow from their formula."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from tackside.colour.spaces import SRGB
from tackside.messages.message import Message
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.lines import line_attributes
from tackside.records import Target
from tackside.units import Box

PPI = 1200.0  # fine enough for the reader's own interpolation to add next to nothing to the blur
PX_PER_MM = PPI / 25.4
PAPER, INK = 0.85, 0.04
LENGTH_MM, ROOM_MM, WIDTH_MM = 8.0, 3.0, 0.5
MIDDLE_MM = 7.0
# Of a Gaussian: how far from its middle 60 % of it is passed, and from where 10 % to where 90 % is.
SIXTY = float(norm.ppf(0.6))
TEN_TO_NINETY = float(norm.ppf(0.9) - norm.ppf(0.1))


def upright_line(sigma_mm: float, wave_mm: float = 0.0, angle_deg: float = 0.0) -> tuple[ScanImage, SheetMap]:
    """A vertical line, its edges blurred by a Gaussian and waving alike; the whole turned about its middle."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    linear = np.array([[c, -s], [s, c]]) * PX_PER_MM
    side = round(2 * MIDDLE_MM * PX_PER_MM)
    middle = np.array([side / 2, side / 2])
    rows, columns = np.mgrid[0:side, 0:side] + 0.5
    at = (np.stack([columns, rows], axis=-1) - middle) @ np.linalg.inv(linear).T
    wave = wave_mm * np.sin(2 * np.pi * at[..., 1] / 1.0)
    inked = norm.cdf((at[..., 0] + WIDTH_MM / 2 + wave) / sigma_mm)
    inked -= norm.cdf((at[..., 0] - WIDTH_MM / 2 - wave) / sigma_mm)
    reflectance = PAPER - (PAPER - INK) * inked
    numbers = np.rint(SRGB.encode(reflectance) * 65535).astype(np.uint16)
    scan = ScanImage("line.tif", "0" * 64, np.repeat(numbers[..., None], 3, axis=2), PPI, None, ())
    mm = np.array([MIDDLE_MM, MIDDLE_MM])
    return scan, SheetMap(np.array([middle, linear[:, 0], linear[:, 1]]), mm)


def measured(scan: ScanImage, sheet_map: SheetMap, width_mm: float = WIDTH_MM) -> dict[str, float]:
    box = Box(MIDDLE_MM - ROOM_MM / 2, MIDDLE_MM - LENGTH_MM / 2, ROOM_MM, LENGTH_MM)
    target = Target(
        kind="line", name="line", box_mm=box, panel="front", direction="vertical", width_mm=width_mm
    )
    attributes, notices = line_attributes(scan, sheet_map, [target], PPI)
    assert notices == ()
    return {name.removesuffix("_vertical"): one.value for name, one in attributes.items()}


@pytest.mark.parametrize("sigma_mm", [0.03, 0.05, 0.07])
@pytest.mark.parametrize("angle_deg", [0.0, 3.0, 90.0])
def test_a_blurred_line_has_the_figures_that_its_formula_gives(sigma_mm: float, angle_deg: float) -> None:
    found = measured(*upright_line(sigma_mm, angle_deg=angle_deg))
    # ISO/IEC 24790: the edge lies at R60, which a symmetric blur moves into the line on both sides.
    assert found["line_gain"] == pytest.approx(-2000 * SIXTY * sigma_mm, abs=4)
    # Interpolating half-way between pixels is a blur of its own, of a quarter square pixel at most.
    most = np.hypot(sigma_mm, 0.5 / PX_PER_MM)
    assert 0.99 * sigma_mm <= found["line_blurriness"] / (1000 * TEN_TO_NINETY) <= 1.01 * most
    assert found["line_contrast"] == pytest.approx((PAPER - INK) / PAPER, abs=0.005)
    assert found["line_raggedness"] < 2


@pytest.mark.parametrize("wave_um", [10, 25])
def test_raggedness_is_the_standard_deviation_of_the_edge(wave_um: float) -> None:
    found = measured(*upright_line(0.03, wave_mm=wave_um / 1000))
    assert found["line_raggedness"] == pytest.approx(wave_um / np.sqrt(2), rel=0.1)


def test_a_line_that_was_asked_for_narrower_has_grown() -> None:
    # By definition: 0.5 mm printed for 0.4 mm is 100 µm of growth.
    scan, sheet_map = upright_line(0.03)
    asked_for, narrower = measured(scan, sheet_map), measured(scan, sheet_map, width_mm=0.4)
    assert narrower["line_gain"] - asked_for["line_gain"] == pytest.approx(100, abs=1)


def test_lines_are_not_judged_below_290_ppi() -> None:
    # Our own limit (docs/sources.md, S22).
    scan, sheet_map = upright_line(0.05)
    box = Box(MIDDLE_MM - 1, MIDDLE_MM - 4, 2, 8)
    target = Target(kind="line", name="a", box_mm=box, panel="front", direction="vertical", width_mm=0.5)
    attributes, notices = line_attributes(scan, sheet_map, [target], 200.0)
    assert attributes == {}
    assert notices == (Message("scan.lines-too-coarse", ppi=200),)


@pytest.mark.parametrize("width_mm", [0.3, 0.5, 1.0])
# Askew, so that the edges pass every phase of the pixels.
@pytest.mark.parametrize("angle_deg", [2.0, -7.0, 11.0])
def test_a_line_that_scikit_image_drew_has_the_width_it_was_drawn_with(
    width_mm: float, angle_deg: float
) -> None:
    # An independent raster: skimage.draw.polygon eight times finer, skimage.transform.downscale_local_mean back.
    from skimage.draw import polygon
    from skimage.transform import downscale_local_mean

    finer, side = 8, round(2 * MIDDLE_MM * PX_PER_MM)
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    linear = np.array([[c, -s], [s, c]]) * PX_PER_MM
    half, length = width_mm / 2, LENGTH_MM / 2 + 0.5
    corners = np.array([(-half, -length), (half, -length), (half, length), (-half, length)])
    at = corners @ linear.T + side / 2
    # Pixel (i, j) of the finer raster is centred at its index; polygon() takes in the centres that lie inside.
    raster = np.zeros((side * finer, side * finer), dtype=np.float32)
    raster[polygon(at[:, 1] * finer - 0.5, at[:, 0] * finer - 0.5, raster.shape)] = 1.0
    reflectance = PAPER - (PAPER - INK) * downscale_local_mean(raster, (finer, finer))
    numbers = np.rint(SRGB.encode(reflectance) * 65535).astype(np.uint16)
    scan = ScanImage("line.tif", "0" * 64, np.repeat(numbers[..., None], 3, axis=2), PPI, None, ())
    middle = np.array([side / 2, side / 2])
    sheet_map = SheetMap(np.array([middle, linear[:, 0], linear[:, 1]]), np.array([MIDDLE_MM, MIDDLE_MM]))
    found = measured(scan, sheet_map, width_mm=width_mm)
    # R60 of a sharp edge seen through a pixel of 21 µm lies 0.1 pixel inside the half, on both sides.
    assert found["line_gain"] == pytest.approx(-2 * 0.1 * 25400 / PPI, abs=3.0)
    assert found["line_raggedness"] < 3.0
