"""XYZ, CIELAB and LCh against the standard's own points, open data and the reference library."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spaces import (
    ADOBE_RGB,
    SRGB,
    WHITE_D50,
    lab_to_lch,
    lab_to_xyz,
    lch_to_lab,
    rgb_to_xyz_d50,
    xyz_d50_to_rgb,
    xyz_to_lab,
)
from tests.colour.library import colour
from tests.colour.tables import print_data

Conversion = Callable[[np.ndarray], np.ndarray]

FROM_XYZ: dict[str, Conversion] = {
    "xyz": lambda xyz: xyz,
    "lab": xyz_to_lab,
    "lch": lambda xyz: lab_to_lch(xyz_to_lab(xyz)),
    "srgb": lambda xyz: xyz_d50_to_rgb(xyz, SRGB),
    "adobe-rgb": lambda xyz: xyz_d50_to_rgb(xyz, ADOBE_RGB),
}
TO_XYZ: dict[str, Conversion] = {
    "xyz": lambda xyz: xyz,
    "lab": lab_to_xyz,
    "lch": lambda lch: lab_to_xyz(lch_to_lab(lch)),
    "srgb": lambda rgb: rgb_to_xyz_d50(rgb, SRGB),
    "adobe-rgb": lambda rgb: rgb_to_xyz_d50(rgb, ADOBE_RGB),
}
unit_colours = st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))


@pytest.mark.parametrize(("here", "there"), list(permutations(FROM_XYZ, 2)))
@given(unit_colours)
def test_every_pair_of_spaces_goes_there_and_back(here: str, there: str, rgb: tuple[float, ...]) -> None:
    # The widest space's cube: its colours lie outside sRGB too.
    start = FROM_XYZ[here](rgb_to_xyz_d50(rgb, ADOBE_RGB))
    away = FROM_XYZ[there](TO_XYZ[here](start))
    back = FROM_XYZ[here](TO_XYZ[there](away))
    # Compared as XYZ: a neutral's hue angle is nothing that could be kept. The sRGB curve's two published
    # thresholds leave a gap of 3e-8 in linear light.
    assert TO_XYZ[here](back) == pytest.approx(TO_XYZ[here](start), abs=1e-7)


def test_white_and_black_are_the_ends_of_the_lightness_scale() -> None:
    # CIE 15:2018, 8.2.1.1
    assert xyz_to_lab(WHITE_D50) == pytest.approx([100, 0, 0], abs=1e-12)
    assert xyz_to_lab([0, 0, 0]) == pytest.approx([0, 0, 0], abs=1e-12)


def test_mid_grey_of_18_percent_is_lightness_49_and_a_half() -> None:
    # docs/sources.md, S75: CIE 15's formula worked by hand, 116 × 0.18^(1/3) − 16 = 49.496.
    assert xyz_to_lab(0.18 * np.array(WHITE_D50))[0] == pytest.approx(49.496, abs=0.001)


def test_the_white_is_the_profile_connection_spaces() -> None:
    # ISO 15076-1, header field "PCS illuminant": X 0.9642, Y 1.0, Z 0.8249.
    assert WHITE_D50.tolist() == [0.9642, 1.0, 0.8249]


def test_lab_agrees_with_the_reference_library_both_ways() -> None:
    # colour-science, XYZ_to_Lab and Lab_to_XYZ, under the same white; darks take the straight branch.
    rng = np.random.default_rng(1)
    xyz = rng.random((2000, 3)) ** 3
    white = colour.XYZ_to_xy(WHITE_D50)
    assert xyz_to_lab(xyz) == pytest.approx(colour.XYZ_to_Lab(xyz, white), abs=1e-9)
    lab = xyz_to_lab(xyz)
    assert lab_to_xyz(lab) == pytest.approx(colour.Lab_to_XYZ(lab, white), abs=1e-12)


def test_lch_agrees_with_the_reference_library() -> None:
    # colour-science, Lab_to_LCHab
    lab = np.random.default_rng(2).uniform([0, -100, -100], [100, 100, 100], (500, 3))
    assert lab_to_lch(lab) == pytest.approx(colour.Lab_to_LCHab(lab), abs=1e-9)


def test_hue_stays_below_360() -> None:
    assert lab_to_lch([50, 10, -1e-18])[2] == 0
    assert lab_to_lch([50, 0, 0])[2] == 0
    assert lab_to_lch([50, 0, -3])[2] == pytest.approx(270)


@pytest.mark.parametrize(
    ("name", "white"),
    [
        ("FOGRA39L.txt", WHITE_D50),
        ("FOGRA29L.txt", WHITE_D50),
        ("TR003.txt", np.array([0.96422, 1.0, 0.82521])),  # the white of ISO 13655
    ],
)
def test_open_characterisation_data_hold_the_lab_of_their_xyz(name: str, white: np.ndarray) -> None:
    # Both are printed to two decimals: the Lab printed must lie between the extremes that XYZ half a digit up
    # or down can give, and half a digit of its own.
    data = print_data(name)
    corners = np.array(list(product((-0.5e-4, 0.5e-4), repeat=3)))
    possible = xyz_to_lab(data.xyz[:, None, :] + corners, white)
    within = (data.lab >= possible.min(axis=1) - 0.00501) & (data.lab <= possible.max(axis=1) + 0.00501)
    assert within.all()
