"""Banding by the spectrum of separate patches, against scipy and against sines of known period."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lombscargle

from tackside.reading.quality.banding import strongest


def patches(period_mm: float, amplitude: float, seed: int = 3) -> list[tuple[np.ndarray, np.ndarray]]:
    """Forty patches of 3.8 mm, in two rows, 5.2 mm apart, each of its own tone, with noise."""
    rng = np.random.default_rng(seed)
    groups = []
    for number in range(40):
        at = 10 + 5.2 * (number % 20) + np.arange(48) * 3.81 / 48
        wave = amplitude * np.sin(2 * np.pi * at / period_mm + 0.7)
        groups.append((at, 50 + rng.normal() * 5 + wave + 0.1 * rng.standard_normal(48)))
    return groups


@pytest.mark.parametrize("period_mm", [0.5, 0.847, 1.693, 3.1, 5.4])
@pytest.mark.parametrize("amplitude", [0.15, 0.6])
def test_the_period_is_found_within_two_per_cent(period_mm: float, amplitude: float) -> None:
    found = strongest(patches(period_mm, amplitude))
    assert found is not None
    assert found.certain
    assert found.period_mm == pytest.approx(period_mm, rel=0.02)
    assert found.amplitude == pytest.approx(amplitude, abs=max(4 * found.amplitude_sd, 0.05 * amplitude))


def test_it_agrees_with_scipy_where_no_means_are_free() -> None:
    # scipy.signal.lombscargle on one patch whose mean is taken off: the same problem but for the floating mean.
    at = np.arange(400) * 0.08
    level = 0.4 * np.sin(2 * np.pi * at / 1.9) + 0.1 * np.random.default_rng(2).standard_normal(400)
    found = strongest([(at, level)])
    periods = np.linspace(1.5, 2.5, 2001)
    theirs = lombscargle(at, level - level.mean(), 2 * np.pi / periods)
    assert found is not None
    assert found.period_mm == pytest.approx(periods[np.argmax(theirs)], rel=0.002)


def test_noise_and_mottle_have_no_period() -> None:
    certain = [strongest(patches(1.0, 0.0, seed)) for seed in range(40)]
    assert sum(one is not None and one.certain for one in certain) == 0
    rng = np.random.default_rng(5)
    walk = [(at, 50 + np.cumsum(0.05 * rng.standard_normal(48))) for at, _ in patches(1.0, 0.0)]
    found = strongest(walk)
    assert found is None or not found.certain
