"""Ink creeps by what the stock says: printed lines are wider by twice the spread, whatever the grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss

STOCKS = [semi_gloss(), cotton_etching(), matt_coated(), craft_card()]


def even(stock: StockModel, **changes: float) -> StockModel:
    return replace(stock, mottle=0.0, grain=0.0, **changes)


def line_width_um(printed: Print, *, upright: bool = True) -> float:
    """Ink's share along a cut, summed: the width of a solid line, however blurred its edges."""
    y = printed.xyz[..., 1].astype(float)
    cut = y[y.shape[0] // 2] if upright else y[:, y.shape[1] // 2]
    solid = printed.xyz_of([[0, 0, 0]])[0, 1]
    paper = printed.xyz_of([[1, 1, 1]])[0, 1]
    return float(np.sum((paper - cut) / (paper - solid)) * 25400 / printed.ppi)


def sheet_with_line(width_px: int, ppi: int, *, reversed_out: bool = False) -> np.ndarray:
    image = np.full((ppi // 4, ppi // 2, 3), 255, np.uint8)
    image[:, ppi // 4 : ppi // 4 + width_px] = 0
    return 255 - image if reversed_out else image


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
@pytest.mark.parametrize(("ppi", "at_ppi"), [(600, 600), (600, 300), (1200, 300), (360, 360)])
def test_a_half_millimetre_line_grows_by_twice_the_spread(stock: StockModel, ppi: int, at_ppi: int) -> None:
    width_px = round(0.5 * ppi / 25.4)
    printed = print_sheet(sheet_with_line(width_px, ppi), ppi, even(stock), PrinterModel(), at_ppi=at_ppi)
    asked = width_px * 25400 / ppi
    assert line_width_um(printed) == pytest.approx(asked + 2 * stock.spread_um, abs=2.0)


def test_a_level_line_grows_as_an_upright_one_does() -> None:
    stock = even(craft_card())
    image = sheet_with_line(12, 600)
    upright = print_sheet(image, 600, stock, PrinterModel())
    level = print_sheet(np.ascontiguousarray(image.swapaxes(0, 1)), 600, stock, PrinterModel())
    assert line_width_um(level, upright=False) == pytest.approx(line_width_um(upright), abs=0.5)


def test_a_slanting_edge_creeps_as_far_as_an_upright_one() -> None:
    """At 45° the ink's area along the edge grows by the spread times the edge's length, within a tenth."""
    stock = even(craft_card(), feather_um=0.0)
    rows, columns = np.mgrid[0:600, 0:600]
    image = np.where(((rows + columns) < 600)[..., np.newaxis], 0, 255).repeat(3, axis=2).astype(np.uint8)
    grown, plain = (
        print_sheet(image, 600, replace(stock, spread_um=um), PrinterModel(), at_ppi=600)
        for um in (40.0, 0.0)
    )
    paper, solid = (plain.xyz_of([[level] * 3])[0, 1] for level in (1.0, 0.0))
    inner = slice(100, 500)
    gain_px = float(np.sum((plain.xyz - grown.xyz)[inner, inner, 1]) / (paper - solid))
    length_px = 400 * np.sqrt(2)
    assert gain_px / length_px * 25400 / 600 == pytest.approx(40.0, rel=0.1)


def test_a_fine_white_line_closes_where_ink_creeps_far() -> None:
    fine = sheet_with_line(
        2, 600, reversed_out=True
    )  # 85 µm, and the craft card's ink creeps 42 from each side
    contrast = {}
    for stock in (semi_gloss(), craft_card()):
        printed = print_sheet(fine, 600, even(stock), PrinterModel(), at_ppi=600)
        middle = printed.xyz[75, 140:170, 1]
        contrast[stock.name] = (middle.max() - middle.min()) / printed.xyz_of([[1, 1, 1]])[0, 1]
    assert contrast["semi-gloss"] > 0.3
    assert contrast["craft card"] < 0.1


def test_too_much_ink_creeps_further() -> None:
    image = sheet_with_line(12, 600)
    right, more = (
        line_width_um(print_sheet(image, 600, even(matt_coated()), PrinterModel(ink=ink)))
        for ink in (1.0, 1.3)
    )
    assert more > right + 10
