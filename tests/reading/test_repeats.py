"""Repeats: how far patches of one colour lie apart, and which is farthest off."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.quality.evenness import repeatability
from tackside.records import PatchReading


def patches(colours: int, copies: int, noise: float, seed: int = 1) -> list[PatchReading]:
    """Greys of L* 50 and about, each in ``copies`` places, with noise in L* alone."""
    light = np.linspace(45, 55, colours)[:, None] + noise * np.random.default_rng(seed).standard_normal(
        (colours, copies)
    )
    return [
        PatchReading(
            name=f"{chr(65 + copy)}{colour}", rgb=(colour / colours,) * 3, lab=(light[colour, copy], 0, 0)
        )
        for copy in range(copies)
        for colour in range(colours)
    ]


@pytest.mark.parametrize("copies", [2, 4])
def test_it_is_the_standard_deviation_of_one_patch(copies: int) -> None:
    # About L* 50 a difference in L* alone is its own ΔE00: S_L is 1 there (CIE 142-2001).
    found = repeatability(patches(200, copies, 0.3))
    assert found is not None
    assert found.de00 == pytest.approx(0.3, rel=0.12)
    assert found.sd == pytest.approx(found.de00 / np.sqrt(2 * 200 * (copies - 1)))
    assert (found.colours, found.patches) == (200, 200 * copies)


def test_the_worst_patch_is_named_not_those_that_it_is_compared_with() -> None:
    read = patches(12, 3, 0.1)
    bad = read[17]
    read[17] = bad.model_copy(update={"lab": (bad.lab[0] + 4, 0, 0)})
    found = repeatability(read)
    assert found is not None
    assert found.worst == bad.name
    assert found.worst_de00 == pytest.approx(4.0, abs=0.4)


def test_no_repeats_no_figure() -> None:
    assert repeatability(patches(50, 1, 0.1)) is None
    assert repeatability(patches(3, 2, 0.1)) is None  # three differences tell nothing
    assert repeatability([]) is None
