"""Ink creeps further where the field that it meets is wet, by what the stock says, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.press import kernels
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, matt_coated, semi_gloss
from tackside.press.printer.wet import wetness
from tackside.press.truth import grown_on_field

Rgb = tuple[float, float, float]
CARD, YELLOW, BLACK, BLUE, RED = (
    (1.0, 1.0, 1.0),
    (1.0, 1.0, 0.0),
    (0.0,) * 3,
    (0.0, 0.0, 1.0),
    (1.0, 0.0, 0.0),
)
PLAIN = PrinterModel()


def even(stock: StockModel, **changes: float) -> StockModel:
    return replace(stock, mottle=0.0, grain=0.0, **changes)


def line_width_um(
    field: Rgb, ink: Rgb, stock: StockModel, printer: PrinterModel = PLAIN, at_ppi: int = 600
) -> float:
    """Of a printed line of 0.5 mm on a field: the ink's share along the cut, summed, however blurred its edges."""
    image = np.empty((600, 150, 3), np.uint8)
    image[:] = np.array(field) * 255
    image[:, 69:81] = np.array(ink) * 255
    printed = print_sheet(image, 600, stock, printer, at_ppi=at_ppi)
    y = printed.xyz[..., 1].astype(float).mean(axis=0)[10:-10]
    ground, line = (float(printed.xyz_of([colour])[0, 1]) for colour in (field, ink))
    return float(np.sum((ground - y) / (ground - line)) * 25400 / printed.ppi)


def growth(
    field: Rgb, ink: Rgb, stock: StockModel, printer: PrinterModel = PLAIN, at_ppi: int = 600
) -> float:
    on_field, on_card = (line_width_um(ground, ink, stock, printer, at_ppi) for ground in (field, CARD))
    return on_field - on_card


@pytest.mark.parametrize("ink", [BLACK, BLUE, RED])
@pytest.mark.parametrize("at_ppi", [600, 300])
@pytest.mark.parametrize("stock", [semi_gloss(), matt_coated(), craft_card()], ids=lambda stock: stock.name)
def test_a_line_on_wet_yellow_is_wider_by_twice_the_bleed(stock: StockModel, ink: Rgb, at_ppi: int) -> None:
    # Fingers vary by a third of the way; along 25 mm their mean is known to a twentieth or so.
    assert growth(YELLOW, ink, even(stock), at_ppi=at_ppi) == pytest.approx(
        2 * stock.bleed_um, rel=0.1, abs=0.3
    )


def test_a_tint_is_wet_in_part() -> None:
    stock, tint = even(craft_card()), (1.0, 1.0, 0.5)
    share = float(wetness([tint], stock, PLAIN)[0])
    assert 0.1 < share < 0.9
    assert growth(tint, BLACK, stock) == pytest.approx(2 * share * stock.bleed_um, rel=0.12)
    assert grown_on_field(tint, stock, PLAIN) == pytest.approx(2 * share * stock.bleed_um)


def test_a_field_whose_ink_does_not_print_is_dry() -> None:
    assert growth(YELLOW, BLUE, even(craft_card()), PrinterModel(missing=("y",))) == pytest.approx(
        0.0, abs=0.2
    )


def test_too_much_ink_bleeds_more() -> None:
    stock = even(matt_coated())
    assert growth(YELLOW, BLUE, stock, PrinterModel(ink=1.3)) == pytest.approx(
        grown_on_field(YELLOW, stock, PrinterModel(ink=1.3)), rel=0.1
    )
    assert grown_on_field(YELLOW, stock, PrinterModel(ink=1.3)) > 1.5 * grown_on_field(YELLOW, stock, PLAIN)


@pytest.mark.parametrize("ink", [BLACK, BLUE])
def test_bare_card_is_never_wet(ink: Rgb) -> None:
    """Lines, slanting edges with their grey dots, and flat fields are the same with bleed and without."""
    rng = np.random.default_rng(4)
    image = np.full((160, 160, 3), 255, np.uint8)
    image[20:140, 60:66] = np.array(ink) * 255
    image[:, 100:][np.add.outer(np.arange(160), np.arange(60) * 9) % 400 < 130] = 0
    cover = rng.random((120, 1))  # softened dots beside the line
    image[20:140, 66] = np.rint(255 * (1 - cover * (1 - np.array(ink))))
    with_it, without = (
        print_sheet(image, 600, even(craft_card(), bleed_um=um), PLAIN, at_ppi=600).xyz for um in (30.0, 0.0)
    )
    assert np.allclose(with_it, without, atol=1e-6)


def test_the_compiled_creep_is_the_plain_one() -> None:
    rng = np.random.default_rng(5)
    xyz = rng.random((37, 41, 3), dtype=np.float32)
    wet = rng.integers(0, 256, (37, 41), dtype=np.uint8)
    uneven = (0.5 + rng.random((16, 16))).astype(np.float32)
    out = np.empty_like(xyz)
    kernels.creep_into_wet(xyz, wet, uneven, np.float32(0.6), out)
    around = np.pad(xyz, ((1, 1), (1, 1), (0, 0)), mode="edge")
    across = np.maximum(xyz - np.minimum(around[1:-1, :-2], around[1:-1, 2:]), 0)
    along = np.maximum(xyz - np.minimum(around[:-2, 1:-1], around[2:, 1:-1]), 0)
    share = np.tile(uneven, (3, 3))[:37, :41]
    way = 0.6 * (wet / 255.0 * share)[..., None]
    plain = xyz - np.minimum(way * np.hypot(across, along), np.maximum(across, along))
    assert np.allclose(out, plain, atol=1e-6)


@pytest.mark.parametrize("shrink", [1, 2, 3])
def test_the_driest_neighbour_says_how_wet_a_field_is(shrink: int) -> None:
    rng = np.random.default_rng(6)
    image = rng.integers(0, 256, (35, 50, 3), dtype=np.uint8)
    table = rng.integers(0, 256, (32, 32, 32), dtype=np.uint8)
    out = np.empty((-(-35 // shrink), -(-50 // shrink)), np.uint8)
    kernels.wet_fields(image, table, shrink, out)
    each = table[image[..., 0] >> 3, image[..., 1] >> 3, image[..., 2] >> 3]
    for row in range(out.shape[0]):
        for column in range(out.shape[1]):
            top, left = max(row * shrink - 1, 0), max(column * shrink - 1, 0)
            near = each[top : (row + 1) * shrink + 1, left : (column + 1) * shrink + 1]
            assert out[row, column] == near.min()
