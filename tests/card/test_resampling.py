"""Reducing and enlarging: against libvips, against light added up, and with a zone plate."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.card.file.design import Card, CardPicture
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.colour.spaces import SRGB
from tests.card.designs import printer, stock

PLAIN = Output(sharpen=False)


def made(folder: Path, pixels: np.ndarray, ppi: float, border: float = 0.0, fit: str = "fill") -> np.ndarray:
    """The picture as it comes to lie on a card of 100 × 100 mm."""
    Image.fromarray(pixels).save(folder / "picture.png", compress_level=1)
    card = Card(
        stock="Harbour Satin 300",
        printer="Tern 8",
        pictures=(CardPicture(panel="front", file="picture.png", border_mm=border, fit=fit),),
        folder=folder,
    )
    square = stock(None).model_copy(update={"open_size_mm": (101.6, 101.6)})  # 4 inches
    make_card(card, square, printer(grid_ppi=ppi), folder / "card.tif", output=PLAIN)
    return np.asarray(Image.open(folder / "card.tif").convert("RGB"))


def grey(values: np.ndarray) -> np.ndarray:
    return np.repeat(np.rint(values * 255).astype(np.uint8)[..., np.newaxis], 3, axis=2)


def zone_plate(size: int, highest: float) -> np.ndarray:
    """Rings in light about the middle whose frequency grows to ``highest`` cycles a pixel at the edges' middles."""
    x = np.arange(size) - (size - 1) / 2
    squared = x[:, np.newaxis] ** 2 + x[np.newaxis, :] ** 2
    return 0.5 + 0.5 * np.cos(np.pi * highest * squared / (size / 2))


def test_rings_finer_than_the_grid_melt_into_even_grey(tmp_path: Path) -> None:
    # 1600 pixels to 400: what is over an eighth of a cycle a pixel cannot be shown, and must not come back as
    # other rings. Beyond twice that frequency the Lanczos kernel of three lobes lets next to nothing through.
    light = zone_plate(1600, 0.5)
    seen = SRGB.decode(made(tmp_path, grey(SRGB.encode(light)), 100)[..., 1] / 255)
    x = np.arange(400) - 199.5
    frequency = 0.5 * np.hypot(x[:, np.newaxis], x[np.newaxis, :]) / 200
    false_rings = seen[(frequency > 0.25) & (frequency < 0.45)]
    # Linear light: the mean of black and white is half the light, 188 of 255 in sRGB.
    assert false_rings.mean() == pytest.approx(0.5, abs=0.005)
    assert false_rings.std() < 0.02
    true_rings = seen[frequency < 0.08]
    assert true_rings.std() > 0.3  # a full cosine has 0.354
    # Every fourth pixel, for comparison, is full of rings that were never there.
    dropped = light[::4, ::4][(frequency > 0.25) & (frequency < 0.45)]
    assert false_rings.var() < dropped.var() / 200


def test_fine_black_and_white_is_half_the_light_and_not_half_the_number(tmp_path: Path) -> None:
    board = np.indices((1600, 1600)).sum(axis=0) % 2
    middle = made(tmp_path, grey(board.astype(float)), 100)[50:-50, 50:-50]
    assert np.unique(middle).tolist() == pytest.approx([188], abs=1)  # IEC 61966-2-1: 0.5 is 187.5 of 255


def test_reduced_pixels_are_those_of_libvips_in_linear_light(tmp_path: Path) -> None:
    from skimage import data

    photograph = np.tile(data.coffee(), (2, 2, 1))[:800, :800]
    ours = made(tmp_path, np.ascontiguousarray(photograph), 100).astype(float)
    image = pyvips.Image.new_from_array(photograph.copy()).copy(interpretation="srgb").colourspace("scrgb")
    theirs = image.reduce(2, 2, kernel="lanczos3").colourspace("srgb").numpy().astype(float)
    assert ours.shape == theirs.shape == (400, 400, 3)
    # Theirs reckons in floating point and lets light go below nothing between its two passes; ours, in tables of
    # 16 bits, does not. So they are compared where there is light.
    apart = np.abs(ours - theirs)[theirs > 20]
    assert np.percentile(apart, 99) <= 1
    assert apart.mean() < 0.25  # two roundings to 8 bits, each on its own


def test_enlarged_pixels_are_those_of_pillow(tmp_path: Path) -> None:
    from skimage import data

    photograph = np.ascontiguousarray(data.coffee()[:200, :200])
    ours = made(tmp_path, photograph, 150, fit="fit").astype(float)
    # Both by the cubic kernel with a = -1/2 (R. Keys, 1981; docs/sources.md, S85), pixel centres on pixel centres.
    theirs = np.asarray(Image.fromarray(photograph).resize((600, 600), Image.Resampling.BICUBIC)).astype(
        float
    )
    assert ours.shape == theirs.shape
    # Pillow rounds between its two passes and cuts off there what is under nothing: a few pixels in the darks differ.
    apart = np.abs(ours - theirs)[9:-9, 9:-9]
    assert np.percentile(apart, 99.9) <= 1
    assert apart.mean() < 0.1


@pytest.mark.parametrize("pixels", [133, 250, 413, 407, 801, 1203])
def test_what_is_in_the_middle_stays_in_the_middle(tmp_path: Path, pixels: int) -> None:
    # A soft spot in the very middle of the picture; the sheet of 4 inches has its middle at 2 inches.
    x = np.arange(pixels) + 0.5 - pixels / 2
    spot = np.exp(-(x[:, np.newaxis] ** 2 + x[np.newaxis, :] ** 2) / (2 * (pixels / 25) ** 2))
    seen = SRGB.decode(made(tmp_path, grey(SRGB.encode(spot)), 100)[..., 1] / 255)
    at = np.arange(400) + 0.5
    assert (seen.sum(axis=0) * at).sum() / seen.sum() == pytest.approx(200, abs=0.3)
    assert (seen.sum(axis=1) * at).sum() / seen.sum() == pytest.approx(200, abs=0.3)


def test_a_strong_reduction_lies_where_a_weak_one_does_and_is_as_light(tmp_path: Path) -> None:
    """Eighteen pixels to one, where blocks of them are averaged first, beside two to one of the same scene."""

    def scene(size: int) -> np.ndarray:
        x = (np.arange(size) + 0.5) / size
        return grey(0.5 + 0.4 * np.sin(5 * x[:, np.newaxis] + 1) * np.cos(4 * x[np.newaxis, :]))

    strong, weak = (made(tmp_path, scene(size), 75).astype(int) for size in (5400, 600))
    assert np.abs(strong - weak).max() <= 1
