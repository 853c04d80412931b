"""Where the profiles of a line pass their levels, against the plain form, one profile after another."""

from __future__ import annotations

import numpy as np

from tackside.reading.scan.lines import _crossings

LEVELS = np.array([0.1, 0.5, 0.6, 0.9])


def first_below(profile: np.ndarray, level: float) -> float:
    """The place between the last value above a level and the first that is not; NaN where it is nowhere passed."""
    for place in range(len(profile)):
        if profile[place] <= level:
            if place == 0:
                return float("nan")
            high, low = profile[place - 1], profile[place]
            return place - 1 + float((high - level) / (high - low))
    return float("nan")


def test_each_profile_passes_each_level_where_it_does_alone() -> None:
    rng = np.random.default_rng(6)
    steps = np.arange(70)
    profiles = 1 / (1 + np.exp((steps - rng.uniform(-5, 80, (90, 1))) / rng.uniform(0.5, 9, (90, 1))))
    profiles += rng.normal(0, 0.03, profiles.shape)  # so that some fall below and rise again
    plain = [[first_below(profile, level) for profile in profiles] for level in LEVELS]
    assert 20 < np.isnan(plain).sum() < 200  # never, or from the start
    np.testing.assert_array_equal(_crossings(profiles, LEVELS), plain)


def test_a_profile_that_stays_at_a_level_has_passed_it_there() -> None:
    profiles = np.array([[1.0, 0.5, 0.5, 0.0], [0.5, 0.5, 0.5, 0.5], [1.0, 1.0, 1.0, 1.0]])
    found = _crossings(profiles, np.array([0.5]))
    np.testing.assert_array_equal(found, [[1.0, np.nan, np.nan]])
