"""The slanted edge by ISO 12233's steps, against responses that are known by formula."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import norm

from tackside.reading.quality.edges import _smooth_peak, overshoot, slanted_edge, without

Floats = NDArray[np.float64]
FINER = 6


def edge(
    spread: Callable[[Floats], Floats], ppi: float, angle_deg: float = 5.0, noise: float = 0.002
) -> Floats:
    """A light-to-dark edge of known spread function, each pixel the mean of 36 points in it."""
    pitch, side = 25.4 / ppi, round(8.0 * ppi / 25.4)
    rows, columns = np.mgrid[0:side, 0:side].astype(float)
    slope, turn = np.tan(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    total = np.zeros((side, side))
    for i in range(FINER):
        for j in range(FINER):
            x, y = columns + (j + 0.5) / FINER - 0.5, rows + (i + 0.5) / FINER - 0.5
            total += spread(((x - side / 2) - slope * (y - side / 2)) * turn * pitch)
    rng = np.random.default_rng(7)
    return np.asarray(0.05 + 0.8 * total / FINER**2 + noise * rng.standard_normal((side, side)))


def half_of(response: Callable[[float], float], ppi: float, highest: float) -> float:
    """Where the response, times that of a pixel's box, is one half."""
    return float(brentq(lambda f: response(f) * float(np.sinc(f * 25.4 / ppi)) - 0.5, 1e-6, highest))


# Fourier transforms of a Gaussian, a box and a two-sided exponential (any table of transforms).
@pytest.mark.parametrize("ppi", [600.0, 1200.0])
@pytest.mark.parametrize("angle_deg", [5.0, -8.0])
@pytest.mark.parametrize(
    ("spread", "response", "highest"),
    [
        (lambda d: norm.cdf(d / 0.03), lambda f: np.exp(-2 * (np.pi * 0.03 * f) ** 2), 30.0),
        (lambda d: norm.cdf(d / 0.06), lambda f: np.exp(-2 * (np.pi * 0.06 * f) ** 2), 20.0),
        (lambda d: np.clip(d / 0.1 + 0.5, 0, 1), lambda f: np.sinc(0.1 * f), 9.9),
        (
            lambda d: np.where(d < 0, 0.5 * np.exp(d / 0.02), 1 - 0.5 * np.exp(-np.abs(d) / 0.02)),
            lambda f: 1 / (1 + (2 * np.pi * 0.02 * f) ** 2),
            23.0,
        ),
    ],
    ids=["gaussian 30 µm", "gaussian 60 µm", "box 100 µm", "exponential 20 µm"],
)
def test_half_response_is_that_of_the_formula(
    spread: Callable[[Floats], Floats],
    response: Callable[[float], float],
    highest: float,
    ppi: float,
    angle_deg: float,
) -> None:
    found = slanted_edge(edge(spread, ppi, angle_deg), ppi / 25.4)
    assert found is not None
    assert found.half_cycles_mm == pytest.approx(half_of(response, ppi, highest), rel=0.015)


def test_the_whole_response_follows_a_gaussian() -> None:
    found = slanted_edge(edge(lambda d: norm.cdf(d / 0.05), 1200.0), 1200.0 / 25.4)
    assert found is not None
    cycles = found.cycles_mm[found.cycles_mm < 8]
    exact = np.exp(-2 * (np.pi * 0.05 * cycles) ** 2) * np.sinc(cycles * 25.4 / 1200)
    assert np.abs(found.mtf[: len(cycles)] - exact).max() < 0.02


def test_a_known_scanner_is_divided_out() -> None:
    both = slanted_edge(edge(lambda d: norm.cdf(d / np.hypot(0.04, 0.03)), 1200.0), 1200.0 / 25.4)
    scanner = slanted_edge(edge(lambda d: norm.cdf(d / 0.03), 1200.0), 1200.0 / 25.4)
    assert both is not None
    assert scanner is not None
    print_alone = without(both, scanner.cycles_mm, scanner.mtf)
    # exp(−2 (π σ f)²) = ½ for the print's own σ of 40 µm.
    assert print_alone.half_cycles_mm == pytest.approx(np.sqrt(np.log(2) / 2) / np.pi / 0.04, rel=0.02)


def test_only_a_sharpened_edge_overshoots() -> None:
    plain = slanted_edge(edge(lambda d: norm.cdf(d / 0.05), 600.0), 600.0 / 25.4)

    def sharpened(
        d: Floats,
    ) -> Floats:  # an unsharp mask: the edge, plus half of what a wider blur takes away
        return np.asarray(norm.cdf(d / 0.05) + 0.5 * (norm.cdf(d / 0.05) - norm.cdf(d / 0.12)))

    keen = slanted_edge(edge(sharpened, 600.0), 600.0 / 25.4)
    assert plain is not None
    assert keen is not None
    assert overshoot(plain) < 0.01
    assert overshoot(keen) > 0.05


def test_an_edge_along_the_pixels_or_none_at_all_gives_nothing() -> None:
    assert slanted_edge(edge(lambda d: norm.cdf(d / 0.05), 600.0, angle_deg=0.2), 600 / 25.4) is None
    assert slanted_edge(np.full((100, 100), 0.5), 600 / 25.4) is None
    assert slanted_edge(np.random.default_rng(1).random((100, 100)), 600 / 25.4) is None


@pytest.mark.parametrize("noise", [0.002, 0.1])
def test_the_strongest_rise_is_that_of_rows_smoothed_one_by_one(noise: float) -> None:
    light = edge(lambda x: norm.cdf(-x / 0.04), 300.0, noise=noise)
    signed = -np.diff(light, axis=1)
    peak = np.array([np.argmax(np.convolve(row, np.ones(3) / 3, mode="same")) for row in signed]) + 0.5
    gap = len(peak) // 3
    slope = np.median(peak[gap:] - peak[:-gap]) / gap
    rows = np.arange(len(peak))
    plain = np.median(peak - slope * rows) + slope * rows
    np.testing.assert_allclose(_smooth_peak(signed), plain, rtol=0, atol=1e-9)
