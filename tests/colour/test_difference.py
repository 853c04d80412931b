"""Colour differences against the published pairs and the reference library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.difference import delta_e_76, delta_e_2000, picture_delta_e_2000
from tests.colour.library import colour
from tests.colour.tables import ciede2000_pairs

PAIRS = ciede2000_pairs()
# The table is printed to four decimals.
HALF_A_DIGIT = 0.5e-4 + 1e-9

lab_colours = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@pytest.mark.parametrize("pair", PAIRS, ids=[f"pair-{int(pair[0])}" for pair in PAIRS])
def test_ciede2000_gives_the_published_pairs_to_the_last_digit(pair: np.ndarray) -> None:
    # Sharma, Wu and Dalal (2005), table 1. Pairs 9 to 16 lie on or beside the jump of the mean hue.
    assert delta_e_2000(pair[1:4], pair[4:7]) == pytest.approx(pair[7], abs=HALF_A_DIGIT)
    assert delta_e_2000(pair[4:7], pair[1:4]) == pytest.approx(pair[7], abs=HALF_A_DIGIT)


def test_the_table_has_all_34_pairs() -> None:
    assert PAIRS.shape == (34, 8)


@pytest.mark.parametrize(("number", "other_case"), [(10, 7.2195), (14, 4.7461)])
def test_exactly_opposite_hues_belong_to_the_closed_case(number: int, other_case: float) -> None:
    # These two pairs decide between the cases of equation 14: the next row of the table holds the other one.
    pair = PAIRS[number - 1]
    assert pair[0] == number
    assert abs(delta_e_2000(pair[1:4], pair[4:7]) - other_case) > 0.01


def test_ciede2000_agrees_with_the_reference_library_on_many_colours() -> None:
    # colour-science, delta_E_CIE2000
    rng = np.random.default_rng(7)
    one = rng.uniform([0, -100, -100], [100, 100, 100], (2000, 3))
    two = one + rng.normal(0, 8, one.shape)
    assert delta_e_2000(one, two) == pytest.approx(colour.delta_E(one, two, method="CIE 2000"), abs=1e-9)


def test_delta_e_76_agrees_with_the_reference_library() -> None:
    # colour-science, delta_E_CIE1976
    rng = np.random.default_rng(8)
    one, two = rng.uniform(-100, 100, (2, 500, 3))
    assert delta_e_76(one, two) == pytest.approx(colour.delta_E(one, two, method="CIE 1976"), abs=1e-9)


@given(lab_colours, lab_colours)
def test_ciede2000_is_symmetric_and_never_negative(one: tuple[float, ...], two: tuple[float, ...]) -> None:
    forth, back = delta_e_2000(one, two), delta_e_2000(two, one)
    assert forth == pytest.approx(back, abs=1e-7)
    assert forth >= 0


@given(lab_colours)
def test_a_colour_does_not_differ_from_itself(colour_: tuple[float, ...]) -> None:
    assert delta_e_2000(colour_, colour_) == 0
    assert delta_e_76(colour_, colour_) == 0


def test_one_colour_is_compared_with_an_image_of_colours() -> None:
    image = np.random.default_rng(9).uniform(0, 90, (4, 5, 3))
    assert delta_e_2000(image, [50, 0, 0]).shape == (4, 5)
    assert delta_e_2000(image, [50, 0, 0])[2, 3] == pytest.approx(delta_e_2000(image[2, 3], [50, 0, 0]))
    assert delta_e_76(image, [50, 0, 0]).shape == (4, 5)


@pytest.mark.parametrize("spread", [0.01, 1, 8, 60])
@pytest.mark.parametrize("chroma", [0.1, 3, 30, 120])
def test_a_picture_in_single_precision_comes_within_a_ten_thousandth(spread: float, chroma: float) -> None:
    rng = np.random.default_rng(11)
    one = rng.uniform([0, -chroma, -chroma], [100, chroma, chroma], (90, 700, 3)).astype(np.float32)
    two = (one + rng.normal(0, spread, one.shape)).astype(np.float32)
    exact, found = delta_e_2000(one, two), picture_delta_e_2000(one, two)
    assert found.dtype == np.float32
    apart = np.abs(
        (np.arctan2(one[..., 2], one[..., 1]) - np.arctan2(two[..., 2], two[..., 1])) % (2 * np.pi) - np.pi
    )
    off = np.abs(found - exact)[apart > 1e-3]  # hues opposite to a hair: where the formula jumps
    assert off.max() < 1e-4


def test_a_picture_of_no_pixels_has_no_differences() -> None:
    assert picture_delta_e_2000(np.empty((0, 4, 3)), np.empty((0, 4, 3))).shape == (0, 4)
    assert picture_delta_e_2000(np.empty((0, 3)), np.empty((0, 3))).shape == (0,)


def test_a_picture_is_worked_whole_whatever_its_shape() -> None:
    rng = np.random.default_rng(12)
    for shape in ((1, 100_000, 3), (100_000, 1, 3), (70_001, 3), (3, 3)):
        one, two = rng.uniform(0, 60, (2, *shape))
        assert picture_delta_e_2000(one, two) == pytest.approx(delta_e_2000(one, two), abs=1e-4)
