"""The grid is found among whatever else was printed."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.gamut import largest_grid
from tests.colour.tables import print_data

level_sets = st.lists(st.integers(1, 9), min_size=1, max_size=4, unique=True).map(
    lambda inner: sorted({0, 10, *inner})
)


def cube(*levels: list[float]) -> np.ndarray:
    return np.array(list(product(*levels)))


@given(level_sets, level_sets, level_sets, st.integers(0, 2**32 - 1))
def test_a_printed_grid_is_found_among_ramps_and_repeats(
    red: list[int], green: list[int], blue: list[int], seed: int
) -> None:
    rng = np.random.default_rng(seed)
    planted = cube(red, green, blue) / 10
    ramps = np.concatenate([np.linspace(0, 1, 22)[:, None] * np.eye(3)[axis] for axis in range(3)])
    greys = np.linspace(0, 1, 22)[:, None].repeat(3, axis=1)
    device = rng.permutation(np.concatenate([planted, planted[::3], ramps, greys]))
    found = largest_grid(device, 100 * device)
    assert found is not None
    for asked, got in zip((red, green, blue), found.levels, strict=True):
        assert got.tolist() == pytest.approx([level / 10 for level in asked])
    # Each colour sits at its own place: here the colour is a hundred times the device value.
    mesh = np.stack(np.meshgrid(*found.levels, indexing="ij"), axis=-1)
    assert found.lab == pytest.approx(100 * mesh, abs=1e-9)


def test_8_bit_rounding_of_levels_is_no_hindrance() -> None:
    device = np.rint(cube([0, 0.25, 0.5, 0.75, 1], [0, 0.5, 1], [0, 0.5, 1]) * 255) / 255
    found = largest_grid(device, device)
    assert found is not None
    assert found.lab.shape == (5, 3, 3, 3)


def test_repeats_are_averaged() -> None:
    device = cube([0, 0.5, 1], [0, 0.5, 1], [0, 0.5, 1])
    lab = np.zeros((54, 3))
    lab[27:] = 10
    found = largest_grid(np.concatenate([device, device]), lab)
    assert found is not None
    assert np.all(found.lab == 5)


def test_a_cube_without_one_corner_is_no_grid() -> None:
    device = cube([0, 0.5, 1], [0, 0.5, 1], [0, 0.5, 1])[:-1]
    assert largest_grid(device, device) is None


def test_a_grid_that_stops_short_of_full_is_no_grid() -> None:
    device = 0.9 * cube([0, 0.5, 1], [0, 0.5, 1], [0, 0.5, 1])
    assert largest_grid(device, device) is None


@pytest.mark.parametrize("count", [0, 1, 5])
def test_too_few_colours_are_no_grid(count: int) -> None:
    device = np.linspace(0, 1, count)[:, None].repeat(3, axis=1)
    assert largest_grid(device, device) is None


def test_open_print_data_hold_nine_levels_of_three_inks() -> None:
    # The chart of ISO 12642-2 (IT8.7/4) prints 9 × 9 × 9 combinations of C, M and Y without K.
    data = print_data("TR003.txt")
    plain = data.cmyk[:, 3] == 0
    found = largest_grid(data.cmyk[plain][:, :3], data.lab[plain])
    assert found is not None
    assert found.lab.shape == (9, 9, 9, 3)
