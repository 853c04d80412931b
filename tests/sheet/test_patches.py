"""Patches: what colours are there, and that the file holds exactly those numbers."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from tackside.records import SheetPlan
from tackside.sheet.blocks import cube, grey, inks
from tackside.sheet.blocks.field import COMFORTABLE_MM, best_field
from tackside.sheet.page.headings import ROOMY
from tackside.sheet.plan import plan_sheet
from tests.sheet.sheets import STOCKS, TRIAL, image, pixels_under, plan, printer, stock


def cube_steps(sheet: SheetPlan) -> int:
    """The steps of the cube, counted from the colours themselves; all of its points must be there."""
    points = {patch.rgb for patch in sheet.patches if "cube" in patch.roles}
    levels = sorted({value for rgb in points for value in rgb})
    assert points == set(product(levels, repeat=3))
    assert np.ptp(np.diff(levels)) <= 1.01 / 255  # even, but for the rounding to bytes
    return len(levels)


@pytest.mark.parametrize(("name", "ppi"), [("small", 300), ("small", 720), ("a5-folded", 300), ("10x7", 300)])
def test_every_pixel_of_a_patch_has_the_numbers_of_the_plan(name: str, ppi: float) -> None:
    sheet, pixels = plan(name, ppi=ppi), image(name, ppi=ppi)
    for patch in sheet.patches:
        inside = pixels_under(pixels, patch.box_mm, ppi)
        assert inside.size
        assert (inside == np.array(patch.rgb) * 255).all(), patch.name


@pytest.mark.parametrize("name", STOCKS)
def test_patches_have_names_and_colours_of_their_own_and_are_whole_bytes(name: str) -> None:
    patches = plan(name).patches
    assert len({patch.name for patch in patches}) == len(patches)
    assert len({patch.rgb for patch in patches}) == len(patches)
    for patch in patches:
        numbers = [value * 255 for value in patch.rgb]
        assert numbers == [round(number) for number in numbers]


@pytest.mark.parametrize("name", STOCKS)
def test_patches_are_square_and_at_least_three_and_a_half_mm(name: str) -> None:
    # Our own choice (docs/sources.md, S42).
    for patch in plan(name).patches:
        assert patch.box_mm.w == patch.box_mm.h
        assert patch.box_mm.w >= 3.5 - 25.4 / 600


@pytest.mark.parametrize("name", STOCKS)
def test_greys_have_21_even_steps_and_finer_ones_at_both_ends(name: str) -> None:
    # Our own choice (docs/sources.md, S42).
    greys = {round(patch.rgb[0] * 255) for patch in plan(name).patches if "grey" in patch.roles}
    even = {int(255 * step / 20 + 0.5) for step in range(21)}
    assert even <= greys
    assert sum(value < 0.05 * 255 for value in greys) >= 3
    assert sum(value > 0.95 * 255 for value in greys) >= 3


@pytest.mark.parametrize("name", STOCKS)
def test_white_black_and_solids_are_there_with_their_roles(name: str) -> None:
    by_role = {role: patch.rgb for patch in plan(name).patches for role in patch.roles}
    assert by_role["white"] == (1, 1, 1)
    assert by_role["black"] == by_role["solid-k"] == (0, 0, 0)
    # Ink solids as RGB device numbers: an ink takes its complement away (common practice).
    assert by_role["solid-c"] == (0, 1, 1)
    assert by_role["solid-m"] == (1, 0, 1)
    assert by_role["solid-y"] == (1, 1, 0)
    assert by_role["solid-r"] == (1, 0, 0)
    assert by_role["solid-g"] == (0, 1, 0)
    assert by_role["solid-b"] == (0, 0, 1)
    for letter in "cmyrgb":
        assert sum(f"ramp-{letter}" in patch.roles for patch in plan(name).patches) >= 6


def test_an_a5_panel_holds_a_cube_of_125_at_least() -> None:
    assert cube_steps(plan("a4-folded")) >= 5
    a5 = plan_sheet(stock(148, 210), printer(), trial_id=TRIAL)
    assert cube_steps(a5) >= 5


@pytest.mark.parametrize(("name", "least"), [("small", 3), ("small-folded", 3), ("a6", 4), ("a5-folded", 5)])
def test_smaller_panels_hold_a_smaller_cube(name: str, least: int) -> None:
    assert cube_steps(plan(name)) >= least


def test_a_large_sheet_holds_a_larger_cube() -> None:
    large = plan_sheet(stock(330, 490), printer(), trial_id=TRIAL)
    assert cube_steps(large) >= 6


def test_rows_of_the_field_are_full() -> None:
    for width in (70, 104, 125, 190, 305):
        field = best_field(width, 150, ROOMY)
        assert field is not None
        assert field.patch_mm >= COMFORTABLE_MM[field.steps]
        assert field.height_mm <= 150


def test_a_ramp_runs_evenly_to_its_solid() -> None:
    numbers = [colour.numbers for colour in inks.ramp("R", 8)]
    assert numbers[-1] == (255, 0, 0)
    assert np.ptp(np.diff([green for _, green, _ in numbers])) <= 1


@pytest.mark.parametrize("count", [27, 32, 40, 49])
def test_greys_are_as_many_as_asked_for_and_fall_steadily(count: int) -> None:
    values = [colour.numbers[0] for colour in grey.greys(count)]
    assert len(values) == count
    assert (np.diff(values) < 0).all()


def test_sorting_by_hue_keeps_every_colour() -> None:
    colours = cube.cube(4)
    assert sorted(c.name for c in cube.by_hue(colours, 16)) == [c.name for c in colours]


def test_near_greys_are_near_and_distinct() -> None:
    colours = cube.near_greys(40)
    assert len({colour.numbers for colour in colours}) == 40
    assert all(3 < max(colour.numbers) - min(colour.numbers) <= 20 for colour in colours)
