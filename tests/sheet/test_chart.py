"""The sheet for a profile: which colours, in what order, and rows that scanner and instrument find."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from tackside.errors import DoesNotFit
from tackside.profile.device.device_model import DeviceModel, fit_device_model
from tackside.records import SheetPlan
from tackside.sheet.chart.bends import CLOSEST, WIDEST, spacing_of
from tackside.sheet.chart.choice import chosen
from tackside.sheet.chart.cut import row_name
from tackside.sheet.chart.lay_out import MOST_PAGES, ChartAsked
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tests.sheet.sheets import TRIAL, pixels_under, printer, stock
from tests.sheet.test_nothing_stands_in_the_way import assert_sound, assert_words_keep_clear

SIZES = ((210.0, 297.0), (148.0, 210.0), (127.0, 178.0))
COUNTS = (200, 500, 900)
FOLDED = (210.0, 297.0, ("horizontal", 148.5))


@cache
def chart(size: tuple, count: int, least_mm: float = 6.0, trial: str = TRIAL) -> SheetPlan:
    asked = ChartAsked(count, least_mm)
    return plan_sheet(stock(*size), printer(), trial_id=trial, purpose="device", ppi=300, chart=asked)


@pytest.mark.parametrize("size", [*SIZES, FOLDED])
@pytest.mark.parametrize("count", COUNTS)
def test_every_page_is_sound_and_all_patches_are_there(size: tuple, count: int) -> None:
    sheet = chart(size, count)
    assert len(sheet.patches) == count
    assert len({patch.name for patch in sheet.patches}) == count
    assert min(min(patch.box_mm.w, patch.box_mm.h) for patch in sheet.patches) >= 6.0 - 25.4 / 300
    assert 1 <= sheet.pages <= MOST_PAGES
    for page in sheet.by_page:
        assert_sound(page)
        assert_words_keep_clear(page)
        assert len(page.tags) == 1
        assert all(sum(mark.panel == panel.name for mark in page.marks) >= 4 for panel in page.panels)
    # Marks tell the page: none has its like on another.
    assert len({mark.id for mark in sheet.marks}) == len(sheet.marks)
    assert max(mark.id for mark in sheet.marks) < 50


def test_pages_are_filled_alike_and_say_which_they_are() -> None:
    sheet = chart(SIZES[2], 900)
    assert sheet.pages > 1
    counts = [len(page.patches) for page in sheet.by_page]
    assert max(counts) - min(counts) <= 1
    ending = [tag.text.removeprefix(f"TACKSIDE/1/{TRIAL}") for tag in sheet.tags]
    assert ending == ["", *(f"/{page}" for page in range(2, sheet.pages + 1))]
    for number, page in enumerate(sheet.by_page, 1):
        assert any(f"page {number} of {sheet.pages}" in caption.text for caption in page.captions)


def test_rows_are_named_and_read_from_left_to_right() -> None:
    sheet = chart(SIZES[1], 500)
    assert [row_name(number) for number in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]
    rows: dict[str, list] = {}
    for patch in sheet.patches:
        letters, number = re.fullmatch(r"([A-Z]+)(\d+)", patch.name).groups()  # type: ignore[union-attr]
        rows.setdefault(letters, []).append((int(number), patch))
    assert list(rows) == [row_name(number) for number in range(len(rows))]
    written = {caption.text for caption in sheet.captions}
    for letters, members in rows.items():
        assert letters in written
        assert [number for number, _ in members] == list(range(1, len(members) + 1))
        assert len({patch.box_mm.y for _, patch in members}) == 1
        assert np.all(np.diff([patch.box_mm.x for _, patch in members]) > 0)
    assert {str(number) for number in range(1, 13)} <= written


@pytest.mark.parametrize(("size", "count"), [(SIZES[0], 500), (SIZES[1], 500), (SIZES[2], 900)])
def test_repeats_stand_once_in_each_part_of_the_sheet(size: tuple, count: int) -> None:
    sheet = chart(size, count)
    numbers = Counter(patch.rgb for patch in sheet.patches)
    repeated = {rgb for rgb, often in numbers.items() if often > 1}
    assert {rgb for patch in sheet.patches if "repeat" in patch.roles for rgb in [patch.rgb]} == repeated
    assert {(1.0, 1.0, 1.0), (0.0, 0.0, 0.0)} <= repeated
    # docs/sources.md, S109: a print's noise is told by eight rows beyond the first of their colour.
    assert sum(numbers.values()) - len(numbers) >= 8
    parts = max(sheet.pages, 2)
    for rgb in repeated:
        places = [number for number, patch in enumerate(sheet.patches) if patch.rgb == rgb]
        assert [place * parts // count for place in places] == list(range(parts))


def test_order_says_nothing_about_colour() -> None:
    """Drying and banding run along and across the sheet: neither lightness nor any channel may run with them."""
    sheet = chart(SIZES[0], 900)
    rgb = np.array([patch.rgb for patch in sheet.patches])
    place = np.array([patch.box_mm.centre for patch in sheet.patches])
    colours = np.column_stack([rgb, rgb @ [0.2126, 0.7152, 0.0722]])
    with np.errstate(all="raise"):
        found = np.corrcoef(np.column_stack([place, colours]).T)[:2, 2:]
    # By chance alone a correlation of 900 has a standard deviation of 1/30.
    assert np.abs(found).max() < 4 / 30


def test_the_order_is_the_trials_own_and_always_the_same() -> None:
    again = chart.__wrapped__(SIZES[2], 200)
    assert chart(SIZES[2], 200) == again
    other = chart(SIZES[2], 200, trial="AAAA2222")
    assert [patch.rgb for patch in other.patches] != [patch.rgb for patch in again.patches]
    assert Counter(patch.rgb for patch in other.patches) == Counter(patch.rgb for patch in again.patches)


def test_neighbours_in_a_row_can_be_told_apart() -> None:
    for size, count in ((SIZES[0], 500), (SIZES[2], 900)):
        patches = chart(size, count).patches
        beside = [
            max(abs(a - b) for a, b in zip(one.rgb, other.rgb, strict=True))
            for one, other in pairwise(patches)
            if one.box_mm.y == other.box_mm.y and one.page == other.page
        ]
        assert np.mean(np.array(beside) < 45 / 255) < 0.005


def test_pixels_have_the_numbers_of_the_plan() -> None:
    page = chart(SIZES[2], 500).on_page(2)
    pixels = render(page)
    for patch in page.patches:
        assert (pixels_under(pixels, patch.box_mm, 300) == np.rint(np.array(patch.rgb) * 255)).all(), (
            patch.name
        )


@pytest.mark.parametrize("count", [108, 188, 488, 876])
def test_colours_are_as_many_as_asked_all_different_and_what_a_profile_needs(count: int) -> None:
    colours = chosen(count)
    rgb = np.array([colour.rgb for colour in colours])
    assert len(rgb) == count == len(np.unique(rgb, axis=0))
    assert colours == chosen(count)
    corners = {tuple(map(float, corner)) for corner in np.ndindex(2, 2, 2)}
    assert corners <= {tuple(each) for each in rgb.tolist()}
    greys = np.sort(rgb[np.ptp(rgb, axis=1) == 0][:, 0])
    steps = np.diff(greys)
    assert len(greys) >= 13
    assert steps.max() < 1.5 / (len(greys) - 1)
    assert max(steps[0], steps[-1]) < 0.8 / (len(greys) - 1)  # finer where prints lose steps first
    roles = Counter(role for colour in colours for role in colour.roles)
    assert {"near-grey", "surface", "inside", "skin", "sky", "foliage", "grey"} <= set(roles)
    near = np.ptp(rgb, axis=1)
    assert sum((near > 0) & (near < 0.15)) >= 12


def test_no_colour_is_far_from_all_patches() -> None:
    """An even grid of 8 x 8 x 8 leaves cells whose middle is 0.124 from its corners: 488 patches, many of them greys,
    reach nearly as near."""
    rgb = np.array([colour.rgb for colour in chosen(488)])
    asked = np.random.default_rng(2).random((4000, 3))
    nearest = np.linalg.norm(asked[:, None] - rgb, axis=2).min(axis=1)
    assert nearest.max() < 0.16


def creased(rgb: np.ndarray) -> np.ndarray:
    """CIELAB of an invented printer that turns sharply where red is 0.3."""
    values = np.asarray(rgb, dtype=float)
    light = 20 + 75 * (0.3 * values[:, 0] + 0.6 * values[:, 1] + 0.1 * values[:, 2])
    light -= 60 * np.maximum(0.3 - values[:, 0], 0)
    return np.column_stack([light, 60 * (values[:, 0] - values[:, 1]), 60 * (values[:, 1] - values[:, 2])])


@cache
def known() -> DeviceModel:
    rgb = np.array([colour.rgb for colour in chosen(300)])
    return fit_device_model(rgb, creased(rgb))


def test_patches_stand_closer_where_an_earlier_reading_bends() -> None:
    spacing = spacing_of(creased)
    reds = np.array([0.3, 0.8])
    at = spacing(np.column_stack([reds, [0.5, 0.5], [0.5, 0.5]]))
    assert CLOSEST <= at[0] < 0.9 * at[1] <= WIDEST
    plain, led = (np.array([colour.rgb for colour in chosen(300, each)]) for each in (None, known()))
    near_crease = [float(np.mean(np.abs(rgb[:, 0] - 0.3) < 0.1)) for rgb in (plain, led)]
    assert near_crease[1] > 1.15 * near_crease[0]


def test_skin_sky_and_foliage_come_out_as_such_where_the_printer_is_known() -> None:
    skin = np.array([colour.rgb for colour in chosen(300, known()) if "skin" in colour.roles])
    lab = creased(skin)
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    assert np.all((hue > 15) & (hue < 90))


def test_more_than_the_stock_can_hold_is_refused_with_the_number_that_fits() -> None:
    with pytest.raises(DoesNotFit, match="patches of 12 mm take more than 6 sheets") as refused:
        chart(SIZES[2], 1500, 12.0)
    most = int(re.search(r"hold (\d+)", str(refused.value)).group(1))  # type: ignore[union-attr]
    fits = chart(SIZES[2], most, 12.0)
    assert fits.pages == MOST_PAGES
    assert len(fits.patches) == most


def test_plans_kept_before_there_were_pages_open_as_one_page() -> None:
    old = chart(SIZES[1], 200).model_dump(mode="json")
    assert old.pop("pages") == 1
    for group in ("patches", "marks", "tags", "targets", "captions", "bars"):
        for each in old[group]:
            assert each.pop("page") == 1
    assert SheetPlan.model_validate(old) == chart(SIZES[1], 200)
