"""The line of least squares, against NumPy's general solver."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.scan.geometry.mapping import straight_line


@pytest.mark.parametrize("left_out", [0, 17, 57])
def test_it_is_the_line_that_polyfit_lays(left_out: int) -> None:
    rng = np.random.default_rng(7)
    at = np.sort(rng.permutation(60)[left_out:])
    edges = 0.25 + 0.01 * at + rng.normal(0, 0.04, (2, len(at)))
    offset, slope = straight_line(at, edges)
    plain = np.polyfit(at, edges.T, 1)
    np.testing.assert_allclose(np.stack([slope, offset]), plain, rtol=0, atol=1e-14)
    assert [float(each) for each in straight_line(at, edges[1])] == pytest.approx(
        [offset[1], slope[1]], rel=1e-12
    )
