from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.scan.geometry.mapping import median


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
@pytest.mark.parametrize(
    ("shape", "axis"), [((1,), 0), ((2,), 0), ((24,), -1), ((4, 25), -1), ((25, 4, 3), 0)]
)
def test_it_is_the_median(shape: tuple[int, ...], axis: int, dtype: type[np.floating]) -> None:
    numbers = np.random.default_rng(1).normal(size=shape).astype(dtype)
    ours = median(numbers, axis)
    assert ours.dtype == dtype
    assert np.array_equal(ours, np.median(numbers, axis=axis))


def test_of_no_numbers_it_is_nan() -> None:
    assert np.isnan(median(np.empty(0)))
    assert np.isnan(median(np.empty((3, 0)))).tolist() == [True] * 3
