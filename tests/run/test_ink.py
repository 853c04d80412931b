"""The ink model against the virtual press: what the press lays down is the truth, the model never sees it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage.data
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from tackside.press.printer.ink import SOLID_ML_M2, laid_ink
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, matt_coated, semi_gloss
from tackside.records.printer import Margins
from tackside.run.ink.ink import (
    AVERAGE_TONES,
    FULL_TONE_ML_M2,
    PHOTOGRAPH_ML_M2,
    USUAL_DOUBT,
    MetColours,
    full_tones_m2,
    tones,
)
from tackside.sheet.scenery.picture import paint

PPI = 72.0
# Photographs inside scikit-image's wheel, free to use (its docstrings name each licence): all in colour that show no
# person. The two of the motorcycle are a stereo pair.
FOLDER = Path(skimage.data.__file__).parent
PHOTOGRAPHS = (
    "chelsea.png",
    "coffee.png",
    "rocket.jpg",
    "retina.jpg",
    "hubble_deep_field.jpg",
    "motorcycle_left.png",
    "motorcycle_right.png",
    "ihc.png",
)
OTHERS = ("cell.png", "brick.png", "grass.png", "page.png", "moon.png", "gravel.png", "coins.png")
# The cartridges are emptied on these; all others are predicted.
EMPTIED_ON = ("chelsea.png", "rocket.jpg", "retina.jpg", "harbour")


def picture(name: str) -> NDArray[np.uint8]:
    if name == "harbour":
        return np.asarray(np.clip(paint(320, 210), 0, 1) * 255, dtype=np.uint8)
    with Image.open(FOLDER / name) as image:
        small = image.convert("RGB")
        small.thumbnail((320, 320))
        return np.asarray(small)


def framed(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture in the middle of a white panel, as a card with a border has it."""
    height, width = pixels.shape[:2]
    panel = np.full((height * 2, width * 2, 3), 255, np.uint8)
    panel[height // 2 : height // 2 + height, width // 2 : width // 2 + width] = pixels
    return panel


VARIED = {
    **{name: picture(name) for name in (*PHOTOGRAPHS, *OTHERS, "harbour")},
    "framed": framed(picture("motorcycle_left.png")),
}


def misses(stock: StockModel, pictures: dict[str, NDArray[np.uint8]]) -> dict[str, float]:
    """Foretold over laid down, less one, of each picture, once cartridges have been emptied on EMPTIED_ON."""
    press = PrinterModel()
    used = sum(laid_ink(VARIED[name], PPI, stock, press).total_ml for name in EMPTIED_ON)
    ml_m2 = used / sum(full_tones_m2(VARIED[name], PPI) for name in EMPTIED_ON)
    return {
        name: full_tones_m2(image, PPI) * ml_m2 / laid_ink(image, PPI, stock, press).total_ml - 1
        for name, image in pictures.items()
    }


@pytest.mark.parametrize(
    "stock", [semi_gloss(), cotton_etching(), matt_coated()], ids=lambda stock: stock.name
)
def test_ink_is_predicted_within_a_tenth_over_varied_pictures(stock: StockModel) -> None:
    """Aim of the project: within 10 % of the press's laid-down ink, once cartridges have been emptied on others."""
    others = {name: image for name, image in VARIED.items() if name not in EMPTIED_ON}
    missed = misses(stock, others)
    assert {name: miss for name, miss in missed.items() if abs(miss) > 0.10} == {}


@pytest.mark.xfail(strict=True, reason="the aim is missed on an almost even mid grey: 10.3 % too little")
def test_an_almost_even_grey_is_predicted_within_a_tenth_too() -> None:
    grey = {"clock_motion.png": picture("clock_motion.png")}
    assert all(abs(miss) <= 0.10 for miss in misses(semi_gloss(), grey).values())


@pytest.mark.parametrize("stock", [semi_gloss(), matt_coated()], ids=lambda stock: stock.name)
def test_without_records_the_usual_range_holds_the_press(stock: StockModel) -> None:
    for name in PHOTOGRAPHS:
        likely = full_tones_m2(VARIED[name], PPI) * FULL_TONE_ML_M2
        truth = laid_ink(VARIED[name], PPI, stock, PrinterModel()).total_ml
        assert likely * (1 - USUAL_DOUBT) <= truth <= likely * (1 + USUAL_DOUBT)


def test_the_average_photograph_is_what_the_model_says() -> None:
    shares = [float(tones(VARIED[name] / 255.0).sum(axis=-1).mean()) for name in PHOTOGRAPHS]
    assert np.median(shares) == pytest.approx(AVERAGE_TONES, rel=0.05)
    # docs/sources.md, S56: 9.7 to 20.5 ml/m². Our own choice: the average photograph lies in its middle.
    assert pytest.approx(sum(PHOTOGRAPH_ML_M2) / 2) == AVERAGE_TONES * FULL_TONE_ML_M2


def test_white_takes_nothing_and_solids_take_their_inks() -> None:
    assert tones([1.0, 1.0, 1.0]).sum() == 0
    assert tones([0.0, 1.0, 1.0]) == pytest.approx([1, 0, 0, 0], abs=0.02)
    assert tones([1.0, 0.0, 1.0]) == pytest.approx([0, 1, 0, 0], abs=0.02)
    assert tones([1.0, 1.0, 0.0]) == pytest.approx([0, 0, 1, 0], abs=0.02)
    black = tones([0.0, 0.0, 0.0])
    assert black[3] > 0.8
    assert 2.5 < black.sum() < 3.5


@given(st.tuples(*[st.floats(0, 1)] * 3), st.floats(0, 1))
def test_tones_stay_in_their_range_and_darker_takes_more(
    rgb: tuple[float, float, float], darker: float
) -> None:
    light = tones(rgb)
    assert np.all((light >= -1e-9) & (light <= 1 + 1e-9))
    grey = [min(rgb)] * 3
    assert tones(np.array(grey) * darker).sum() >= tones(grey).sum() - 1e-6


def test_wide_numbers_are_read_in_their_own_space() -> None:
    assert tones([0.2, 0.8, 0.2], "adobe-rgb").sum() != pytest.approx(
        tones([0.2, 0.8, 0.2], "srgb").sum(), rel=0.01
    )


def test_the_presss_ink_is_its_tones_times_area() -> None:
    solid = np.zeros((72, 144, 3), np.uint8)
    solid[..., 1:] = 255  # cyan alone
    m2 = (2 * 0.0254) * 0.0254
    truth = laid_ink(solid, 72, semi_gloss(), PrinterModel())
    assert truth.total_ml == pytest.approx(SOLID_ML_M2[0] * m2)
    assert truth.ml[1:] == (0, 0, 0)


def test_the_press_lays_no_ink_in_margins_and_more_where_it_enlarges() -> None:
    image = picture("harbour")
    width, height = image.shape[1] * 25.4 / PPI, image.shape[0] * 25.4 / PPI
    plain = laid_ink(image, PPI, semi_gloss(), PrinterModel()).total_ml
    cut = laid_ink(image, PPI, semi_gloss(), PrinterModel(margins_mm=Margins(left=width / 2))).total_ml
    grown = laid_ink(image, PPI, semi_gloss(), PrinterModel(enlargement_mm=2.5)).total_ml
    assert cut < 0.8 * plain
    assert grown == pytest.approx(plain * (width + 5) * (height + 5) / (width * height))


def test_more_ink_prints_darker() -> None:
    """The press's ink and its print belong together: what lays more ink is darker."""
    image = np.full((72, 72, 3), 128, np.uint8)
    little, much = PrinterModel(ink=0.7), PrinterModel(ink=1.1)
    assert (
        laid_ink(image, 72, semi_gloss(), little).total_ml < laid_ink(image, 72, semi_gloss(), much).total_ml
    )
    assert (
        print_sheet(image, 72, semi_gloss(), little).xyz.mean()
        > print_sheet(image, 72, semi_gloss(), much).xyz.mean()
    )


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_colours_met_before_take_what_they_took(space: str) -> None:
    met = MetColours(space)
    for name in PHOTOGRAPHS[:3]:
        image = VARIED[name]
        plain = tones(image / 255.0, space).sum() * (25.4 / PPI / 1000) ** 2
        assert full_tones_m2(image, PPI, met) == pytest.approx(plain, rel=1e-12)
        assert full_tones_m2(image, PPI, met) == full_tones_m2(image, PPI, MetColours(space))
