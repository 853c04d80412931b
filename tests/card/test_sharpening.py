"""Sharpening: as wide on the print whatever the grid, stronger on rougher surfaces, none where nothing changes."""

from __future__ import annotations

import numpy as np
import pytest
import pyvips
from scipy.ndimage import gaussian_filter

from tackside.card.pixels.conversion import SHARPENING, Output, sharpened, sharpening_for, surface_of
from tackside.records import Stock


def step(width: int = 400, low: int = 100, high: int = 160) -> np.ndarray:
    pixels = np.full((40, width, 3), low, dtype=np.uint8)
    pixels[:, width // 2 :] = high
    return pixels


def raised(pixels: np.ndarray, ppi: float, surface: str = "matt") -> np.ndarray:
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb")
    return sharpened(image, ppi, SHARPENING[surface]).numpy()


@pytest.mark.parametrize("surface", list(SHARPENING))
def test_it_is_an_unsharp_mask_as_scipy_reckons_it(surface: str) -> None:
    how = SHARPENING[surface]
    pixels = step()
    sigma = how.sigma_mm * 300 / 25.4
    blurred = gaussian_filter(pixels[20, :, 0].astype(float), sigma)
    expected = pixels[20, :, 0] + how.amount * (pixels[20, :, 0] - blurred)
    found = raised(pixels, 300, surface)[20, :, 0].astype(float)
    assert np.abs(found - expected).max() <= 2.0  # whole numbers, and a kernel of whole numbers


def test_flat_colour_stays_to_the_number() -> None:
    flat = np.full((40, 40, 3), (17, 128, 240), dtype=np.uint8)
    assert (raised(flat, 600) == flat).all()


def test_its_width_in_mm_does_not_depend_on_the_grid() -> None:
    def reach_mm(ppi: float) -> float:
        line = raised(step(1200), ppi)[20, :, 0].astype(float)
        over = np.clip(line[600:] - 160, 0, None)
        return float((over * (np.arange(600) + 0.5)).sum() / over.sum() * 25.4 / ppi)

    assert reach_mm(300) == pytest.approx(reach_mm(1200), rel=0.15)


def test_the_stock_chooses_unless_it_is_told() -> None:
    def of(base: str, surface: str) -> str:
        return surface_of(Stock(name="S", base=base, surface=surface, open_size_mm=(210, 297)))

    assert of("photo", "semi-gloss") == "semi-gloss"
    assert of("matt", "smooth") == "matt"
    assert of("cotton", "textured") == "cotton"
    stock = Stock(name="S", base="cotton", open_size_mm=(210, 297))
    assert sharpening_for(stock, Output()) == SHARPENING["cotton"]
    assert sharpening_for(stock, Output(surface="matt")) == SHARPENING["matt"]
    assert sharpening_for(stock, Output(sharpen=False)) is None
    amounts = [SHARPENING[surface].amount for surface in ("semi-gloss", "matt", "cotton")]
    assert amounts == sorted(amounts)
