"""The map through the marks."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tackside.reading.scan.geometry.mapping import fit_map, foretelling_px, residuals_px

# Twelve places as on an A5 sheet: corners and middles of two panels.
PLACES = np.array([[x, y] for x in (7.0, 98.0, 112.0, 203.0) for y in (7.0, 74.0, 141.0)])
ELSEWHERE = np.array([[50.0, 30.0], [160.0, 120.0], [105.0, 5.0]])
small = st.floats(-0.02, 0.02)


@given(
    angle=st.floats(-180, 180),
    scales=st.tuples(st.floats(5, 50), st.floats(5, 50)),
    skew=small,
    shift=st.tuples(st.floats(-5000, 5000), st.floats(-5000, 5000)),
    kept=st.integers(0, 8),
)
def test_any_affine_map_is_recovered(
    angle: float, scales: tuple[float, float], skew: float, shift: tuple[float, float], kept: int
) -> None:
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    linear = np.array([[c, -s], [s, c]]) @ np.array([[1, skew], [0, 1]]) @ np.diag(scales)
    at = PLACES[[0, 2, 9, *range(3, 3 + kept)]]
    fitted = fit_map(at, at @ linear.T + shift)
    assert not fitted.is_curved
    np.testing.assert_allclose(fitted.to_px(ELSEWHERE), ELSEWHERE @ linear.T + shift, atol=1e-6)
    np.testing.assert_allclose(fitted.linear, linear, atol=1e-6)
    np.testing.assert_allclose(fitted.px_per_mm**2, scales[0] * scales[1], rtol=1e-9)


@given(
    bends=st.lists(st.floats(-4e-3, 4e-3), min_size=6, max_size=6).filter(lambda b: max(map(abs, b)) > 1e-3)
)
def test_a_bend_of_second_order_is_recovered(bends: list[float]) -> None:
    def bent(at: np.ndarray) -> np.ndarray:
        x, y = at[:, 0], at[:, 1]
        return 11.8 * at + np.stack([x * x, x * y, y * y], axis=1) @ np.reshape(bends, (3, 2)) / 10

    fitted = fit_map(PLACES, bent(PLACES))
    np.testing.assert_allclose(fitted.to_px(ELSEWHERE), bent(ELSEWHERE), atol=0.3)
    if foretelling_px(PLACES, bent(PLACES), 3) > 0.25:
        assert fitted.is_curved
        np.testing.assert_allclose(fitted.to_px(ELSEWHERE), bent(ELSEWHERE), atol=1e-6)


@given(st.integers(0, 2**32 - 1))
def test_scatter_of_the_marks_is_not_taken_for_a_bend(seed: int) -> None:
    scattered = 11.8 * PLACES + np.random.default_rng(seed).normal(0, 0.1, PLACES.shape)
    assert not fit_map(PLACES, scattered).is_curved


def test_foretelling_is_what_leaving_each_mark_out_gives() -> None:
    # The short formula by leverages against the plain loop that it stands for.
    seen = 11.8 * PLACES + np.random.default_rng(3).normal(0, 2, PLACES.shape)
    missed = []
    for left_out in range(len(PLACES)):
        others = np.arange(len(PLACES)) != left_out
        design = np.column_stack([np.ones(others.sum()), PLACES[others]])
        coefficients = np.linalg.lstsq(design, seen[others], rcond=None)[0]
        missed.append(seen[left_out] - np.array([1, *PLACES[left_out]]) @ coefficients)
    expected = np.sqrt(np.mean(np.sum(np.square(missed), axis=1)))
    np.testing.assert_allclose(foretelling_px(PLACES, seen, 3), expected, rtol=1e-9)


def test_residuals_are_distances_in_pixels() -> None:
    fitted = fit_map(PLACES, 10 * PLACES)
    np.testing.assert_allclose(residuals_px(fitted, PLACES, 10 * PLACES + (3, 4)), 5.0)
