"""The table that pixels are looked up in: true to the exact model, and alike in both of its readers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import xyz_to_lab
from tackside.press import kernels
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, matt_coated, semi_gloss


def sheet_colours() -> np.ndarray:
    """Colours such as a test sheet holds, 8-bit: cubes, greys, shadows, lights, ramps of each ink."""
    cubes = [
        np.stack(np.meshgrid(*[np.round(np.linspace(0, 255, n))] * 3), axis=-1).reshape(-1, 3) for n in (5, 6)
    ]
    greys = [np.repeat(np.round(level)[:, np.newaxis], 3, axis=1) for level in grey_levels()]
    ramps = []
    for inks in np.ndindex(2, 2, 2):
        ramps.append(np.round(255 - np.linspace(0, 255, 11)[:, np.newaxis] * np.array(inks)))
    return np.concatenate([*cubes, *greys, *ramps]) / 255.0


def grey_levels() -> list[np.ndarray]:
    return [np.linspace(0, 255, 21), np.arange(0, 40, 2.0), np.arange(215, 256, 2.0)]


@pytest.mark.parametrize("stock", [semi_gloss(), matt_coated(), craft_card()], ids=lambda stock: stock.name)
def test_table_is_true_to_the_model_at_the_colours_of_a_sheet(stock: StockModel) -> None:
    printer, rgb = PrinterModel(), sheet_colours()
    exact = xyz_to_lab(rgb_to_xyz(rgb, stock, printer))
    assert delta_e_2000(xyz_to_lab(look_up(colour_table(stock, printer), rgb)), exact).max() <= 0.3


def test_compiled_reader_gives_what_the_plain_one_gives() -> None:
    table = colour_table(semi_gloss(), PrinterModel())
    image = np.random.default_rng(2).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    laid = np.empty((40, 50, 3), np.float32)
    kernels.lay_down(image, table, np.float32(0.0), 1, laid)
    assert np.allclose(
        laid.reshape(-1, 3), look_up(table, image.reshape(-1, 3) / 255.0), rtol=2e-5, atol=1e-6
    )


@pytest.mark.parametrize("shrink", [1, 2, 3])
@pytest.mark.parametrize("spread", [0.0, 0.4, 0.9])
def test_compiled_laying_down_is_the_plain_one(spread: float, shrink: int) -> None:
    table = colour_table(semi_gloss(), PrinterModel())
    image = np.random.default_rng(3).integers(0, 256, (121, 74, 3), dtype=np.uint8)
    out = np.empty((-(-121 // shrink), -(-74 // shrink), 3), np.float32)
    kernels.lay_down(image, table, np.float32(spread), shrink, out)
    assert np.allclose(out, plain_laying_down(image, table, spread, shrink), rtol=5e-5, atol=1e-6)


def plain_laying_down(image: np.ndarray, table: np.ndarray, spread: float, shrink: int) -> np.ndarray:
    height, width = image.shape[:2]
    xyz = look_up(table, image.reshape(-1, 3) / 255.0).reshape(height, width, 3)
    padded = np.pad(xyz, ((1, 1), (1, 1), (0, 0)), mode="edge")
    across = np.maximum(xyz - np.minimum(padded[1:-1, :-2], padded[1:-1, 2:]), 0)
    along = np.maximum(xyz - np.minimum(padded[:-2, 1:-1], padded[2:, 1:-1]), 0)
    drop = np.minimum(spread * np.hypot(across, along), np.maximum(across, along))
    corners = [padded[:-2, :-2], padded[:-2, 2:], padded[2:, :-2], padded[2:, 2:]]
    crept = xyz - np.maximum(drop, max(spread * np.sqrt(2) - 1, 0) * (xyz - np.min(corners, axis=0)))
    blocks = [
        [crept[y : y + shrink, x : x + shrink].mean(axis=(0, 1)) for x in range(0, width, shrink)]
        for y in range(0, height, shrink)
    ]
    return np.array(blocks)


def test_truth_is_what_was_laid_down() -> None:
    stock = replace(craft_card(), mottle=0.0, grain=0.0)
    rgb = np.random.default_rng(4).integers(0, 256, (12, 3), dtype=np.uint8)
    image = np.repeat(np.repeat(rgb.reshape(3, 4, 3), 200, axis=0), 200, axis=1)
    printed = print_sheet(image, 600, stock, PrinterModel())
    centres = printed.xyz[50::100, 50::100].reshape(-1, 3)
    assert delta_e_2000(xyz_to_lab(centres), printed.lab_of(rgb / 255.0)).max() < 0.02
