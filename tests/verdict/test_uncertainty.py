"""Uncertainty follows from what the reading says of itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import lightness_to_density
from tackside.verdict.measures.measure import chroma_weight, density_sd, lightness_weight, measure, spread
from tackside.verdict.measures.patch_table import patch_table
from tests.verdict.readings import reading

FIGURES = (
    "paper_lab",
    "black_l",
    "dmax",
    "l_range",
    "gamut_volume",
    "gamut_hull",
    "gamut_corners",
    "chroma_c",
    "grey_balance_mean",
)


@settings(max_examples=25, deadline=None)
@given(sd=st.floats(0, 5), more_sd=st.floats(0.05, 5), de00=st.floats(0, 4), more_de00=st.floats(0.05, 3))
def test_a_noisier_or_less_certain_reading_has_larger_uncertainties(
    sd: float, more_sd: float, de00: float, more_de00: float
) -> None:
    here = measure(patch_table(reading(sd=sd, de00=de00)))
    noisier = measure(patch_table(reading(sd=sd + more_sd, de00=de00)))
    vaguer = measure(patch_table(reading(sd=sd, de00=de00 + more_de00)))
    for name in FIGURES:
        assert spread(noisier, name) > spread(here, name)
        assert spread(vaguer, name) > spread(here, name)


@pytest.mark.parametrize("lightness", [5.0, 16.0, 35.0, 50.0, 80.0, 95.0])
def test_one_delta_e_of_lightness_is_one_ciede2000(lightness: float) -> None:
    # Against the whole formula: a small step in L* of S_L·0.01 is 0.01 ΔE00.
    step = 0.01 * float(lightness_weight(lightness))
    assert float(delta_e_2000([lightness, 0, 0], [lightness + step, 0, 0])) == pytest.approx(0.01, rel=2e-3)


@pytest.mark.parametrize("chroma", [20.0, 50.0, 90.0])
def test_one_delta_e_of_chroma_is_one_ciede2000(chroma: float) -> None:
    # Along b* (h = 90°), where the formula's a′ leaves chroma alone.
    step = 0.01 * float(chroma_weight(chroma))
    assert float(delta_e_2000([50, 0, chroma], [50, 0, chroma + step])) == pytest.approx(0.01, rel=2e-3)


@pytest.mark.parametrize("lightness", [5.0, 9.0, 16.0, 31.0])
def test_density_spread_is_its_slope(lightness: float) -> None:
    draws = lightness + 0.2 * np.random.default_rng(3).standard_normal(20_000)
    assert density_sd(lightness, 0.2) == pytest.approx(float(np.std(lightness_to_density(draws))), rel=0.05)


def test_volume_spread_from_noise_is_what_redrawing_gives() -> None:
    # The linear propagation beside a plain Monte Carlo over the eight corners.
    from scipy.spatial import ConvexHull

    sound = reading(sd=1.5, de00=0.0)
    table = patch_table(sound)
    rows = [table.paper, table.black, *table.solids.values()]
    rng = np.random.default_rng(5)
    per_axis = 1.5 / np.sqrt(2) / np.sqrt(3)  # an instrument's mean of two, over three axes
    draws = [ConvexHull(table.lab[rows] + per_axis * rng.standard_normal((8, 3))).volume for _ in range(600)]
    assert spread(measure(table), "gamut_corners") == pytest.approx(float(np.std(draws)), rel=0.15)
