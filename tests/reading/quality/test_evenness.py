"""Graininess and mottle by ISO/IEC 13660's formulas, on a worked example and on fields of known spectrum."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.press.printer.surface import grain_field, mottle_field
from tackside.reading.quality.evenness import A_TILE, TILE_MM, tiles


def test_a_worked_example_of_the_formulas() -> None:
    # ISO/IEC 13660: graininess is the root of the tiles' mean variance, mottle the standard deviation of their means.
    # Four tiles, each a chequerboard of m ± d: the variance of n points of ±d is d² n / (n − 1).
    board = np.where(np.indices((A_TILE, A_TILE)).sum(axis=0) % 2 == 0, 1.0, -1.0)
    middles, swings = [50.0, 51.0, 49.0, 50.0], [0.5, 1.0, 1.5, 0.0]
    area = np.block(
        [
            [middles[0] + swings[0] * board, middles[1] + swings[1] * board],
            [middles[2] + swings[2] * board, middles[3] + swings[3] * board],
        ]
    )
    variances, means = tiles(area)
    count = A_TILE**2
    assert means == pytest.approx(middles)
    assert variances == pytest.approx([swing**2 * count / (count - 1) for swing in swings])
    assert float(np.sqrt(np.mean(variances))) == pytest.approx(
        np.sqrt(np.mean(np.square(swings)) * count / (count - 1))
    )
    assert float(np.std(means, ddof=1)) == pytest.approx(np.sqrt(2.0 / 3.0))


def test_noise_on_either_side_of_the_border_goes_to_its_own_measure() -> None:
    # The border at 0.4 cycles/mm is that of a tile of 1.27 mm; ppi so that a tile has A_TILE points.
    ppi = A_TILE * 25.4 / TILE_MM
    side = 10 * A_TILE  # the standard's 12.7 mm square
    rng = np.random.default_rng(4)
    slow = mottle_field((side, side), ppi, 1.0, rng).astype(float)
    fast = grain_field((side, side), ppi, 1.0, rng).astype(float)
    for field, grainy in ((slow, False), (fast, True)):
        variances, means = tiles(field)
        within, between = np.sqrt(np.mean(variances)), np.std(means, ddof=1)
        assert (within > 3 * between) if grainy else (between > within)
