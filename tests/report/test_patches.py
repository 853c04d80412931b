"""Aim and print on the screen: the paper's white meets its aim, what sRGB lacks is counted."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.report.patches import patch_table, to_screen
from tests.colour.library import colour
from tests.report.invented import entry


def test_screen_colours_are_those_of_colour_science() -> None:
    """Against colour-science: Lab under D50 to sRGB with the Bradford adaptation."""
    lab = np.array([[50.0, 20.0, -30.0], [85.0, -10.0, 40.0], [20.0, 5.0, 5.0], [95.0, 0.0, -2.0]])
    d50 = np.array([0.3457, 0.3585])
    xyz = colour.Lab_to_XYZ(lab, d50)
    reference = colour.XYZ_to_sRGB(xyz, d50, chromatic_adaptation_transform="Bradford")
    shown, outside = to_screen(lab)
    found = np.array([[int(each[i : i + 2], 16) for i in (1, 3, 5)] for each in shown])
    assert np.abs(found - reference * 255).max() < 1.5
    assert outside == 0


def test_colours_beyond_srgb_are_clipped_and_counted() -> None:
    shown, outside = to_screen(np.array([[60.0, -120.0, 80.0], [50.0, 0.0, 0.0]]))
    assert outside == 1
    assert shown[0].startswith("#00")


def test_unprinted_paper_meets_its_aim() -> None:
    table = patch_table(entry(paper_l=91))
    white = next(pair for pair in table.pairs if pair.rgb == (1, 1, 1))
    assert white.aim == white.print
    assert white.de00 == pytest.approx(0, abs=1e-6)


def test_a_shallow_print_strays_further_from_its_aim() -> None:
    deep, shallow = patch_table(entry(black_l=4)), patch_table(entry(black_l=34, reach=0.42))
    assert deep.de00_median is not None
    assert shallow.de00_median is not None
    assert shallow.de00_median > 2 * deep.de00_median


def test_bare_device_numbers_have_no_aim() -> None:
    table = patch_table(entry(space=None))
    assert all(pair.aim is None and pair.de00 is None for pair in table.pairs)
    assert table.de00_median is None


def test_rows_follow_the_roles() -> None:
    rows = {pair.name: pair.rows for pair in patch_table(entry()).pairs}
    assert rows["grey-00"] == ("Greys",)
    assert rows["m-8"] == ("Magenta",)
    assert rows["cube-007"] == ("Cube",)
