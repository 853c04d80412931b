"""The halftone formulas in the cases that are known without them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.press.printer.halftone import demichel, effective_tone, murray_davies, yule_nielsen_neugebauer

PAPER, SOLID = 0.81, 0.04
tones = st.floats(0, 1, allow_subnormal=False)


def one_black_ink() -> np.ndarray:
    """Overprints of a press that has only black: paper wherever black is absent."""
    overprints = np.full((16, 3), PAPER)
    overprints[8:] = SOLID
    return overprints


@given(tones, tones, tones, tones)
def test_demichel_shares_fill_the_paper(c: float, m: float, y: float, k: float) -> None:
    shares = demichel([c, m, y, k])
    assert shares.min() >= 0
    assert shares.sum() == pytest.approx(1)


def test_demichel_shares_are_products_of_tones() -> None:
    # Worked by hand from Demichel's equations: cyan 0.5 and magenta 0.25 on white.
    shares = demichel([0.5, 0.25, 0, 0])
    assert shares[:4] == pytest.approx([0.375, 0.375, 0.125, 0.125])
    assert shares[4:] == pytest.approx(np.zeros(12))


@given(tones)
def test_neugebauer_of_one_ink_is_murray_davies(tone: float) -> None:
    whole = yule_nielsen_neugebauer([0, 0, 0, tone], one_black_ink(), 1.0)
    assert whole == pytest.approx(np.full(3, murray_davies(tone, SOLID, PAPER)))


def test_murray_davies_inverts_to_the_density_formula() -> None:
    # The densitometer's form, a = (1 − 10^−Dt) / (1 − 10^−Ds) with densities above paper (ISO 13656;
    # docs/sources.md, S80): Dt 0.30 beside Ds 1.50 is 51.5 %.
    solid = 10**-1.50
    tone = (1 - 10**-0.30) / (1 - solid)
    assert tone == pytest.approx(0.515, abs=5e-4)
    assert -np.log10(murray_davies(tone, solid, 1.0)) == pytest.approx(0.30)


def test_yule_nielsen_with_n_2_averages_square_roots() -> None:
    # Worked by hand: (0.5 √0.04 + 0.5 √0.81)² = (0.1 + 0.45)² = 0.3025, against 0.425 by Murray and Davies.
    assert yule_nielsen_neugebauer([0, 0, 0, 0.5], one_black_ink(), 2.0)[1] == pytest.approx(0.3025)


def test_yule_nielsen_tends_to_the_mean_of_densities() -> None:
    # n → ∞ is the geometric mean (Beer's law for a colorant that is spread evenly).
    tint = yule_nielsen_neugebauer([0, 0, 0, 0.3], one_black_ink(), 1e5)[1]
    assert tint == pytest.approx(SOLID**0.3 * PAPER**0.7, rel=1e-4)


@pytest.mark.parametrize("n", [1.0, 1.8, 2.5])
def test_solids_and_paper_do_not_depend_on_n(n: float) -> None:
    rng = np.random.default_rng(1)
    overprints = rng.uniform(0.01, 0.9, (16, 3))
    corners = np.array([[number >> ink & 1 for ink in range(4)] for number in range(16)], dtype=float)
    assert yule_nielsen_neugebauer(corners, overprints, n) == pytest.approx(overprints)


@pytest.mark.parametrize("increase", [0.0, 0.12, 0.25])
def test_tone_value_increase_is_what_it_says_at_half_and_keeps_the_ends(increase: float) -> None:
    ramp = effective_tone(np.linspace(0, 1, 101), increase)
    assert (ramp[0], ramp[50], ramp[100]) == pytest.approx((0, 0.5 + increase, 1))
    assert np.all(np.diff(ramp) >= 0)
