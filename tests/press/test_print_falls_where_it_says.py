"""The placement that a print reports is the one that its marks show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.errors import BadRequest
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import semi_gloss
from tackside.records.printer import Margins

PPI = 600
SIZE_MM = (60.0, 50.0)
STOCK = replace(semi_gloss(), mottle=0.0, grain=0.0)
DOTS_MM = np.array([[x, y] for x in (8, 30, 52) for y in (8, 25, 42)], dtype=float)


def sheet_with_dots() -> np.ndarray:
    image = np.full((round(SIZE_MM[1] * PPI / 25.4), round(SIZE_MM[0] * PPI / 25.4), 3), 255, np.uint8)
    for x, y in DOTS_MM:
        left, top = (round((mm - 1) * PPI / 25.4) for mm in (x, y))
        image[top : top + 47, left : left + 47] = 0
    return image


def asked_centres_mm() -> np.ndarray:
    """Where the dots' centres lie on the pixel grid of the image."""
    return (np.round((DOTS_MM - 1) * PPI / 25.4) + 23.5) * 25.4 / PPI


def centres_mm(printed: Print, near_mm: np.ndarray) -> np.ndarray:
    """Centroids of the ink within 4 mm of each point, on the sheet."""
    ink = printed.xyz_of([[1, 1, 1]])[0, 1] - printed.xyz[..., 1].astype(float)
    pitch = 25.4 / printed.ppi
    found = []
    for x, y in near_mm:
        rows = slice(max(round((y - 4) / pitch), 0), round((y + 4) / pitch))
        columns = slice(max(round((x - 4) / pitch), 0), round((x + 4) / pitch))
        part = ink[rows, columns]
        across, down = part.sum(axis=0), part.sum(axis=1)
        found.append(
            [
                (np.average(np.arange(len(across)), weights=across) + columns.start + 0.5) * pitch,
                (np.average(np.arange(len(down)), weights=down) + rows.start + 0.5) * pitch,
            ]
        )
    return np.array(found)


CASES = {
    "true": PrinterModel(),
    "shifted": PrinterModel(offset_mm=(0.8, -0.45)),
    "scaled": PrinterModel(scale_x=1.004, scale_y=0.997),
    "turned": PrinterModel(rotation_deg=0.6),
    "skewed": PrinterModel(skew_deg=-0.5),
    "enlarged": PrinterModel(enlargement_mm=2.5),
    "all at once": PrinterModel(
        offset_mm=(-0.6, 0.7),
        scale_x=0.996,
        scale_y=1.003,
        rotation_deg=-0.4,
        skew_deg=0.2,
        enlargement_mm=1.5,
    ),
}


@pytest.mark.parametrize("at_ppi", [300, 600])
@pytest.mark.parametrize("printer", CASES.values(), ids=CASES.keys())
def test_dots_lie_where_the_truth_puts_them(printer: PrinterModel, at_ppi: int) -> None:
    printed = print_sheet(sheet_with_dots(), PPI, STOCK, printer, sheet_size_mm=SIZE_MM, at_ppi=at_ppi)
    meant = np.column_stack([asked_centres_mm(), np.ones(len(DOTS_MM))]) @ printed.asked_to_printed.T
    assert np.abs(centres_mm(printed, meant) - meant).max() < 0.06 * 25.4 / at_ppi  # 0.06 px of the raster


@pytest.mark.parametrize("printer", CASES.values(), ids=CASES.keys())
def test_placement_is_the_least_squares_fit_of_the_dots(printer: PrinterModel) -> None:
    printed = print_sheet(sheet_with_dots(), PPI, STOCK, printer, sheet_size_mm=SIZE_MM, at_ppi=600)
    asked = np.column_stack([asked_centres_mm(), np.ones(len(DOTS_MM))])
    found = centres_mm(printed, asked @ printed.asked_to_printed.T)
    fitted = np.linalg.lstsq(asked, found, rcond=None)[0].T
    placement = printed.placement
    assert np.hypot(*fitted[:, 0]) == pytest.approx(placement.scale_x, abs=1e-4)
    assert np.hypot(*fitted[:, 1]) == pytest.approx(placement.scale_y, abs=1e-4)
    assert np.degrees(np.arctan2(fitted[1, 0], fitted[0, 0])) == pytest.approx(
        placement.rotation_deg, abs=0.005
    )
    assert fitted[:, 2] == pytest.approx(placement.offset_mm, abs=0.01)


def test_borderless_enlargement_reaches_past_every_edge() -> None:
    placement = PrinterModel(enlargement_mm=2.5).placement((210, 297))
    assert placement.offset_mm == (-2.5, -2.5)
    assert placement.scale_x == pytest.approx(215 / 210)
    assert placement.scale_y == pytest.approx(302 / 297)


def test_margins_that_the_head_cannot_reach_stay_bare() -> None:
    black = np.zeros((600, 900, 3), np.uint8)
    margins = Margins(top=3, bottom=5, left=3.4, right=2)
    printed = print_sheet(black, 600, STOCK, PrinterModel(margins_mm=margins), at_ppi=600)
    bare = np.isclose(printed.xyz[..., 1], printed.xyz_of([[1, 1, 1]])[0, 1], atol=1e-3)
    rows, columns = np.nonzero(~bare)
    pitch = 25.4 / 600
    assert rows.min() * pitch == pytest.approx(3, abs=pitch)
    assert (600 - 1 - rows.max()) * pitch == pytest.approx(5, abs=pitch)
    assert columns.min() * pitch == pytest.approx(3.4, abs=pitch)
    assert (900 - 1 - columns.max()) * pitch == pytest.approx(2, abs=pitch)


def test_misaligned_head_doubles_uprights_and_spares_levels() -> None:
    image = np.full((600, 600, 3), 255, np.uint8)
    image[:, 300:306] = 0
    shifted = PrinterModel(misalignment_mm=0.6)
    upright = print_sheet(image, 600, STOCK, shifted, at_ppi=600).xyz[300, :, 1]
    level = print_sheet(image.swapaxes(0, 1).copy(), 600, STOCK, shifted, at_ppi=600).xyz[:, 300, 1]
    dark = upright < (upright.max() + upright.min()) / 2
    assert np.count_nonzero(np.diff(dark.astype(int)) == 1) == 2
    assert upright.min() > 5 * level.min()


@pytest.mark.parametrize(
    "image",
    [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3), np.uint16), np.zeros((0, 4, 3), np.uint8)],
    ids=["grey", "16-bit", "empty"],
)
def test_anything_but_8_bit_rgb_is_refused(image: np.ndarray) -> None:
    with pytest.raises(BadRequest):
        print_sheet(image, 600, STOCK, PrinterModel())
