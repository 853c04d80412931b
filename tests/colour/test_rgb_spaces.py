"""sRGB and Adobe RGB (1998) against their specifications and the reference library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spaces import (
    ADOBE_GAMMA,
    ADOBE_RGB,
    RGB_SPACES,
    SRGB,
    WHITE_D50,
    RgbSpace,
    lab_to_rgb,
    rgb_to_lab,
    rgb_to_xyz_d50,
    xyz_d50_to_rgb,
)
from tests.colour.library import colour

BOTH = pytest.mark.parametrize("space", [SRGB, ADOBE_RGB], ids=lambda space: space.name)


def test_srgb_has_the_matrix_of_its_specification() -> None:
    # IEC 61966-2-1:1999, 5.2, printed to four places
    printed = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    assert SRGB.to_xyz == pytest.approx(np.array(printed), abs=0.5e-4)


def test_adobe_rgb_has_the_matrix_of_its_specification() -> None:
    # Adobe RGB (1998) Color Image Encoding, 4.3.5.3, printed to five places
    printed = [
        [0.57667, 0.18556, 0.18823],
        [0.29734, 0.62736, 0.07529],
        [0.02703, 0.07069, 0.99134],
    ]
    assert ADOBE_RGB.to_xyz == pytest.approx(np.array(printed), abs=0.6e-5)


def test_adobe_rgb_has_the_connection_space_matrix_of_its_specification() -> None:
    # Adobe RGB (1998) Color Image Encoding, 4.3.6.1 (to the profile connection space)
    printed = [
        [0.60974, 0.20528, 0.14919],
        [0.31111, 0.62567, 0.06322],
        [0.01947, 0.06087, 0.74457],
    ]
    assert ADOBE_RGB.to_xyz_d50 == pytest.approx(np.array(printed), abs=2e-5)


def test_srgb_transfer_meets_the_points_of_its_specification() -> None:
    # IEC 61966-2-1:1999, 5.2: 0.04045 ↔ 0.0031308, offset 0.055, exponent 2.4
    decoded = SRGB.decode(np.array([0.0, 0.04045, 0.5, 1.0]))
    assert decoded == pytest.approx([0, 0.04045 / 12.92, (0.555 / 1.055) ** 2.4, 1], abs=1e-12)
    assert SRGB.encode(np.array([0.0031308])) == pytest.approx([0.04045], abs=1e-6)


def test_adobe_gamma_is_two_and_51_over_256() -> None:
    # Adobe RGB (1998) Color Image Encoding, 4.3.4.2
    assert ADOBE_GAMMA == 2 + 51 / 256


@pytest.mark.parametrize(
    ("space", "name"), [(SRGB, "sRGB"), (ADOBE_RGB, "Adobe RGB (1998)")], ids=["srgb", "adobe-rgb"]
)
def test_spaces_agree_with_the_reference_library(space: RgbSpace, name: str) -> None:
    # colour-science, RGB_to_XYZ with Bradford. Its matrices are the specifications' rounded ones: 1e-4.
    rgb = np.random.default_rng(4).random((500, 3))
    expected = colour.RGB_to_XYZ(
        rgb,
        colour.RGB_COLOURSPACES[name],
        colour.XYZ_to_xy(WHITE_D50),
        chromatic_adaptation_transform="Bradford",
        apply_cctf_decoding=True,
    )
    assert rgb_to_xyz_d50(rgb, space) == pytest.approx(expected, abs=1e-4)


@BOTH
def test_white_is_neutral_and_full(space: RgbSpace) -> None:
    assert rgb_to_lab([1, 1, 1], space) == pytest.approx([100, 0, 0], abs=1e-9)
    assert rgb_to_lab([0, 0, 0], space) == pytest.approx([0, 0, 0], abs=1e-9)


@BOTH
@given(st.floats(0, 1))
def test_equal_numbers_are_neutral(space: RgbSpace, level: float) -> None:
    assert rgb_to_lab([level] * 3, space)[1:] == pytest.approx([0, 0], abs=1e-9)


@BOTH
def test_every_8_bit_level_comes_back(space: RgbSpace) -> None:
    levels = np.arange(256) / 255
    rgb = np.stack([levels, levels[::-1], np.roll(levels, 100)], axis=-1)
    back = xyz_d50_to_rgb(rgb_to_xyz_d50(rgb, space), space)
    assert np.array_equal(np.rint(back * 255), np.rint(rgb * 255))
    assert back == pytest.approx(rgb, abs=1e-6)
    assert lab_to_rgb(rgb_to_lab(rgb, space), space) == pytest.approx(rgb, abs=1e-6)


def test_a_colour_outside_srgb_keeps_its_place() -> None:
    green = rgb_to_xyz_d50([0, 1, 0], ADOBE_RGB)
    as_srgb = xyz_d50_to_rgb(green, SRGB)
    assert as_srgb[0] < 0
    assert rgb_to_xyz_d50(as_srgb, SRGB) == pytest.approx(green, abs=1e-9)


def test_spaces_are_found_by_name_and_keep_the_shape() -> None:
    assert RGB_SPACES == {"srgb": SRGB, "adobe-rgb": ADOBE_RGB}
    assert rgb_to_lab(np.zeros((2, 5, 3)), SRGB).shape == (2, 5, 3)
