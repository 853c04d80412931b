"""Banding by the spectrum of separate patches, against scipy and against sines of known period."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lombscargle

from tackside.reading.quality.banding import _alike, _spectrum, strongest


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


def test_the_spectrum_is_that_of_least_squares_with_every_mean_free() -> None:
    # Patches of two sizes, one of them with a place left out: a column for each one's mean, and a sine and a cosine.
    groups = [(at, level) for at, level in patches(1.3, 0.4)[:5]]
    groups += [(at[:31] + 0.37, level[:31]) for at, level in patches(1.3, 0.4, seed=8)[5:8]]
    groups.append((np.delete(groups[0][0], 9) + 99.0, np.delete(groups[0][1], 9)))
    frequencies = np.linspace(0.2, 2.6, 25)
    power, amplitude = _spectrum(_alike(groups), frequencies)
    at, level = (np.concatenate(part) for part in zip(*groups, strict=True))
    means = np.repeat(np.eye(len(groups)), [len(place) for place, _ in groups], axis=0)
    left = level - means @ np.linalg.lstsq(means, level)[0]
    for number, frequency in enumerate(frequencies):
        waves = np.column_stack([np.sin(2 * np.pi * frequency * at), np.cos(2 * np.pi * frequency * at)])
        solved, squares, *_ = np.linalg.lstsq(np.hstack([waves, means]), level)
        assert amplitude[number] == pytest.approx(np.hypot(solved[0], solved[1]), rel=1e-10)
        assert power[number] == pytest.approx(np.sum(left**2) - squares[0], rel=1e-9)


def test_patches_of_one_size_are_taken_together() -> None:
    groups = patches(1.3, 0.4)
    assert [len(each.starts) for each in _alike(groups)] == [40]
    assert [len(each.starts) for each in _alike([*groups, (groups[0][0][:-1], groups[0][1][:-1])])] == [40, 1]
