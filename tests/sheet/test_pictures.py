"""The pictures of the sheet: as many as fit, in the sheet's own colours, and nothing else moves for them."""

from __future__ import annotations

import warnings
from importlib import resources
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_lab
from tackside.errors import DoesNotFit
from tackside.sheet.blocks import scene, tiles
from tackside.sheet.blocks.lines import WIDTHS_MM
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.sheet.scenery import skin
from tackside.sheet.scenery.subjects import SUBJECTS, photograph, subject
from tackside.units import Box
from tests.colour.library import colour
from tests.sheet.sheets import TRIAL, image, pixels_under, plan, printer, stock

SIZES = ((105, 148), (127, 178), (148, 210), (210, 297), (254, 178), (288, 144))
FOLDED = (
    stock(148, 210, ("horizontal", 105)),
    stock(210, 297, ("horizontal", 148.5)),
    stock(120, 240, ("horizontal", 120)),
    *(stock(width, height) for width, height in SIZES),
)


@pytest.mark.parametrize("card", FOLDED, ids=lambda card: str(card.open_size_mm))
def test_nothing_that_is_measured_moves_for_the_pictures(card: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = plan_sheet(card, printer(), trial_id=TRIAL)
    monkeypatch.setattr(scene, "tile_room", lambda area, most: tiles.TileRoom(area))
    plain = plan_sheet(card, printer(), trial_id=TRIAL)
    measured = [[each for each in one.targets if each.kind != "scene"] for one in (sheet, plain)]
    assert measured[0] == measured[1]
    assert (sheet.patches, sheet.marks, sheet.tags) == (plain.patches, plain.marks, plain.tags)
    whole = next(each.box_mm for each in plain.targets if each.kind == "scene")
    shown = [each.box_mm for each in sheet.targets if each.kind == "scene"]
    assert min(box.x for box in shown) >= whole.x - 0.05
    assert max(box.right for box in shown) <= max(whole.right, shown[0].right) + 0.05
    for number, box in enumerate(shown):
        assert not any(box.intersection(other) for other in shown[:number])


def test_as_many_subjects_as_fit_the_most_telling_first() -> None:
    counts = {}
    for width, height in ((127, 178), (148, 210), (210, 297)):
        sheet = plan_sheet(stock(width, height), printer(), trial_id=TRIAL)
        shown = [each.name for each in sheet.targets if each.kind == "scene"][1:]
        assert shown == [each.name for each in SUBJECTS][: len(shown)]
        texts = {each.text for each in sheet.captions}
        assert {each.caption for each in SUBJECTS[: len(shown)]} <= texts
        counts[width] = len(shown)
    assert counts[127] >= 3
    assert counts[148] >= 8
    assert counts[210] >= 9


def test_a_cut_keeps_a_fair_share_for_the_large_picture() -> None:
    room = tiles.tile_room(Box(10, 20, 95, 82), 10)
    assert len(room.tiles) >= 8
    assert room.rest.w * room.rest.h >= 0.36 * 95 * 82
    assert all(tile.w >= tiles.LEAST_W_MM for tile in room.tiles)
    assert max(tile.bottom for tile in room.tiles) + tiles.CAPTION_MM == pytest.approx(102, abs=0.01)
    assert tiles.tile_room(Box(0, 0, 46, 30), 10).tiles == ()


@pytest.mark.parametrize("name", [each.name for each in SUBJECTS])
def test_each_subject_fills_any_size(name: str) -> None:
    found = subject(name)
    assert found is not None
    for width, height in ((400, 300), (90, 120)):
        shown = found.draw(width, height)
        assert shown.shape == (height, width, 3)
        assert shown.dtype == np.float32
        assert shown.min() >= 0
        assert shown.max() <= 1
        assert shown.std() > 0.05


def test_the_photographs_are_what_they_are_there_for() -> None:
    """Shares of lightness by which the trade calls a picture high or low key: common practice, no source."""
    light = {each: rgb_to_lab(photograph(each, 240, 180), SRGB)[..., 0] for each in ("high-key", "shadows")}
    assert np.median(light["high-key"]) > 95
    assert np.mean(light["shadows"] < 20) > 0.25
    assert np.ptp(photograph("shadows", 240, 180), axis=-1).max() < 0.02  # a monochrome


def test_every_photograph_that_is_shipped_is_shown_and_said_to_be_free() -> None:
    folder = resources.files("tackside.sheet") / "photographs"
    files = {each.name: each for each in folder.iterdir() if each.name.endswith(".webp")}
    readme = (folder / "README.md").read_text(encoding="utf-8")
    assert {name.removesuffix(".webp") for name in files} <= {each.name for each in SUBJECTS}
    for name, file in files.items():
        line = next(each for each in readme.splitlines() if each.startswith(f"| `{name}`"))
        assert "CC0-1.0" in line or "public domain" in line
        with file.open("rb") as stream:
            assert "icc_profile" not in Image.open(stream).info, "taken for sRGB, so none may say otherwise"
    assert sum(len(each.read_bytes()) for each in files.values()) < 350_000


# CIE 13.3-1995, test colours 13 and 15; CIE 224:2017, samples 15 and 18: spectra in colour-science, calculated anew.
def test_the_tones_of_skin_are_those_of_published_reflectances() -> None:
    from colour.quality.cfi2017 import SPECTRAL_SHAPE_CIE2017, load_TCS_CIE2017
    from colour.quality.datasets import SDS_TCS

    seen = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D50"]
    many = load_TCS_CIE2017(SPECTRAL_SHAPE_CIE2017)
    spectra = [
        SDS_TCS["CIE 2024"]["TCS13"],
        colour.SpectralDistribution(many.values[:, 14], many.wavelengths),
        SDS_TCS["CIE 2024"]["TCS15"],
        colour.SpectralDistribution(many.values[:, 17], many.wavelengths),
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that it aligns the tables' steps
        found = [
            colour.XYZ_to_Lab(colour.sd_to_XYZ(each, seen, light) / 100, (0.34567, 0.35850))
            for each in spectra
        ]
    np.testing.assert_allclose(np.array(found), np.array(skin.TONES[:4]), atol=0.02)


def test_skin_is_met_where_the_light_falls_straight() -> None:
    shown = rgb_to_lab(skin.paint_skin(600, 400), SRGB)
    for number, tone in enumerate(skin.TONES):
        row, column = divmod(number, 3)
        cell = shown[200 * row : 200 * row + 200, 200 * column : 200 * column + 200].reshape(-1, 3)
        assert delta_e_2000(cell, np.array(tone)).min() < 2


def test_pictures_keep_their_colours_in_the_wider_space() -> None:
    box = next(each.box_mm for each in plan("10x7").targets if each.name == "food")
    narrow = pixels_under(image("10x7"), box, 600) / 255
    wide = pixels_under(image("10x7", space="adobe-rgb"), box, 600) / 255
    apart = delta_e_2000(rgb_to_lab(narrow, SRGB), rgb_to_lab(wide, ADOBE_RGB))
    assert np.median(apart) < 0.6  # no more than 8 bits and their dither
    assert np.abs(narrow - wide).mean() > 0.01


def test_the_harbour_is_painted_once_for_sheets_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    painted = []

    def paint(width: int, height: int) -> Any:
        painted.append((width, height))
        return painter(width, height)

    painter = scene.paint
    monkeypatch.setattr(scene, "paint", paint)
    scene._harbour.cache_clear()
    sheet = plan_sheet(stock(127, 178), printer(), trial_id=TRIAL)
    first, again = render(sheet), render(sheet)
    assert np.array_equal(first, again)
    assert len(painted) == 1
    wide = render(plan_sheet(stock(127, 178), printer(), trial_id=TRIAL, space="adobe-rgb"))
    box = next(each.box_mm for each in sheet.targets if each.name == scene.HARBOUR)
    assert not np.array_equal(pixels_under(wide, box, 600), pixels_under(first, box, 600))


def test_ones_own_picture_stands_whole_in_the_harbours_place() -> None:
    sheet = plan("10x7", own_picture=True, ppi=300.0)
    (place,) = (each for each in sheet.targets if scene.is_own(each))
    assert place.box_mm == next(
        each.box_mm for each in plan("10x7", ppi=300.0).targets if scene.is_harbour(each)
    )
    own = np.full((120, 200, 3), (10, 120, 200), np.uint8)
    shown = pixels_under(render(sheet, own), place.box_mm, 300)
    is_own = (shown == (10, 120, 200)).all(axis=-1)
    assert is_own.sum() == 120 * 200
    assert (shown[~is_own] == 255).all()
    down, across = np.nonzero(is_own)
    assert down.mean() == pytest.approx((shown.shape[0] - 1) / 2, abs=1)
    assert across.mean() == pytest.approx((shown.shape[1] - 1) / 2, abs=1)
    assert scene.BY_HAND in {each.text for each in sheet.captions}


def test_a_sheet_without_pictures_has_no_place_for_ones_own() -> None:
    with pytest.raises(DoesNotFit) as raised:
        plan_sheet(stock(90, 90), printer(), trial_id=TRIAL, own_picture=True)
    assert raised.value.message.code == "sheet.no-place-for-picture"


@pytest.mark.parametrize("size", [(100, 148), *SIZES])
def test_labels_stay_on_small_sheets(size: tuple[int, int]) -> None:
    sheet = plan_sheet(stock(*size), printer(), trial_id=TRIAL)
    texts = [each.text for each in sheet.captions]
    widths = {f"{each:g}".removeprefix("0") for each in WIDTHS_MM}
    told = [each for each in texts if each in widths]
    assert ".05" in told
    assert "1" in told
    assert any("right" in each or "»" in each for each in texts), "which way to wipe"
