"""Mottle and graininess: the size promised, on the side of 0.4 cycles/mm promised."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.colour.spaces import reflectance_to_lightness
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.press.printer.surface import grain_field, lightness_to_relative, mottle_field

PPI = 150.0
SIDE_PX = 1200  # 203 mm


def power_below_border(field: np.ndarray) -> float:
    """Share of a field's power at spatial frequencies below 0.4 cycles/mm."""
    power = np.abs(np.fft.fft2(field - field.mean())) ** 2
    cycles = np.fft.fftfreq(SIDE_PX, 25.4 / PPI)
    return float(power[np.hypot(*np.meshgrid(cycles, cycles)) < 0.4].sum() / power.sum())


def test_mottle_is_slow_and_grain_is_fast() -> None:
    mottle = mottle_field((SIDE_PX, SIDE_PX), PPI, 1.0, np.random.default_rng(1))
    grain = grain_field((SIDE_PX, SIDE_PX), PPI, 1.0, np.random.default_rng(1))
    assert power_below_border(mottle) > 0.8
    assert power_below_border(grain) < 0.05


@pytest.mark.parametrize("field", [mottle_field, grain_field])
@pytest.mark.parametrize("ppi", [150.0, 300.0, 600.0])
def test_fields_have_the_size_they_are_given(field: object, ppi: float) -> None:
    laid = field((1000, 1500), ppi, 0.7, np.random.default_rng(2))  # type: ignore[operator]
    assert laid.std() == pytest.approx(lightness_to_relative(0.7), rel=0.08)


def test_a_tone_of_l_50_moves_by_about_the_stated_lightness() -> None:
    stock = replace(craft_card(), grain=0.0)
    greys = np.repeat(np.arange(256)[:, np.newaxis] / 255.0, 3, axis=1)
    flat = print_sheet(np.zeros((2, 2, 3), np.uint8), 600, stock, PrinterModel())
    level = int(np.argmin(np.abs(flat.lab_of(greys)[:, 0] - 50)))
    printed = print_sheet(np.full((2400, 2400, 3), level, np.uint8), 600, stock, PrinterModel(), at_ppi=150)
    spread = reflectance_to_lightness(printed.xyz[..., 1]).std()
    # The tone covers part of the paper only, so that a fifth to a third of the change stays away.
    assert 0.6 * stock.mottle <= spread <= stock.mottle


@pytest.mark.parametrize(
    "stock", [semi_gloss(), cotton_etching(), matt_coated()], ids=lambda stock: stock.name
)
def test_coated_cards_lie_more_evenly_than_craft_card(stock: StockModel) -> None:
    image = np.full((1200, 1200, 3), 100, np.uint8)
    coated, bare = (
        print_sheet(image, 600, one, PrinterModel(), at_ppi=150).xyz[..., 1] for one in (stock, craft_card())
    )
    assert coated.std() / coated.mean() < bare.std() / bare.mean()


def test_unevenness_leaves_the_mean_colour_alone() -> None:
    printed = print_sheet(
        np.full((2400, 2400, 3), 100, np.uint8), 600, craft_card(), PrinterModel(), at_ppi=150
    )
    mean = printed.xyz.reshape(-1, 3).mean(axis=0)
    assert mean == pytest.approx(printed.xyz_of([[100 / 255] * 3])[0], rel=0.01)
