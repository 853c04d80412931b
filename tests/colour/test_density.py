"""Density and lightness against worked figures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spaces import (
    MAX_DENSITY,
    WHITE_D50,
    density_to_lightness,
    density_to_reflectance,
    lightness_to_density,
    lightness_to_reflectance,
    reflectance_to_density,
    reflectance_to_lightness,
    xyz_to_lab,
)


@pytest.mark.parametrize(
    ("density", "lightness"),
    # The ends of the classes of card, density and L* (docs/sources.md, S26, S27 and S35).
    [(2.0, 9), (2.4, 4), (1.55, 19), (1.85, 12), (1.6, 18), (1.7, 15), (1.0, 38), (1.3, 27)],
)
def test_the_classes_of_card_pair_density_and_lightness_so(density: float, lightness: float) -> None:
    assert density_to_lightness(density) == pytest.approx(lightness, abs=0.5)


@pytest.mark.parametrize(
    ("density", "reflectance", "lightness"),
    # ISO 5-4 and CIE 15:2018, 8.2.1.1, worked by hand: 116 × 0.1^(1/3) − 16; 116 × 0.01^(1/3) − 16;
    # below Y = 216/24389, 903.2963 × Y.
    [(0.0, 1.0, 100.0), (1.0, 0.1, 37.8424), (2.0, 0.01, 8.9914), (3.0, 0.001, 0.9033)],
)
def test_worked_examples(density: float, reflectance: float, lightness: float) -> None:
    assert density_to_reflectance(density) == pytest.approx(reflectance)
    assert reflectance_to_density(reflectance) == pytest.approx(density, abs=1e-12)
    assert density_to_lightness(density) == pytest.approx(lightness, abs=1e-4)
    assert lightness_to_density(lightness) == pytest.approx(density, abs=1e-4)


@given(st.floats(0, 4))
def test_density_comes_back_from_lightness(density: float) -> None:
    assert lightness_to_density(density_to_lightness(density)) == pytest.approx(density, abs=1e-9)


@given(st.floats(0, 100))
def test_lightness_is_that_of_cielab(lightness: float) -> None:
    y = lightness_to_reflectance(lightness)
    assert xyz_to_lab(y * np.array(WHITE_D50))[0] == pytest.approx(lightness, abs=1e-9)
    assert reflectance_to_lightness(y) == pytest.approx(lightness, abs=1e-9)


def test_no_light_at_all_is_a_finite_density() -> None:
    assert reflectance_to_density([0.0, -0.01]).tolist() == [MAX_DENSITY, MAX_DENSITY]
