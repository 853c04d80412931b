"""The textbook print: what its definition says, and what management does to its greys."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.verdict.model.balanced import Balanced
from tackside.verdict.model.class_typical import find_rests
from tackside.verdict.model.tone_response import CORNERS, TYPICAL_CORNERS

GREYS = np.repeat(np.linspace(0.1, 0.9, 9)[:, None], 3, axis=1)


def test_corners_come_out_as_they_are_given() -> None:
    # Neugebauer's sum at full and at no tone is the corner itself.
    assert Balanced(TYPICAL_CORNERS).lab(CORNERS) == pytest.approx(TYPICAL_CORNERS, abs=0.02)


@pytest.mark.parametrize("black", [5.0, 16.0, 30.0])
def test_managed_greys_run_straight_from_black_to_paper(black: float) -> None:
    corners = TYPICAL_CORNERS.copy()
    corners[0, 0] = black
    shown = Balanced(corners).lab(GREYS)
    # The share of the way that sRGB (IEC 61966-2-1) gives these numbers in L*, from its formula.
    light = ((GREYS[:, 0] + 0.055) / 1.055) ** 2.4
    level = np.where(light > 0.008856, 116 * np.cbrt(light) - 16, 903.3 * light)[:, None] / 100
    aim = corners[0] + level * (corners[7] - corners[0])
    assert np.abs(shown - aim).max() < 1.5


def test_managed_twice_is_lighter_and_unmanaged_darker_in_the_middle_but_ends_stay() -> None:
    # docs/sources.md, S50: a cast throughout, solids unchanged.
    response = Balanced(TYPICAL_CORNERS)
    once, depth = response.lab(GREYS), 1 - GREYS
    twice, never = (
        response.lab(1 - moved(depth, 0.16)) for moved in (response.managed_twice, response.unmanaged)
    )
    assert twice[4, 0] > once[4, 0] + 5
    assert never[4, 0] < once[4, 0] - 5
    for moved in (response.managed_twice, response.unmanaged):
        assert response.lab(1 - moved(1 - CORNERS, 0.16)) == pytest.approx(TYPICAL_CORNERS, abs=0.05)


def test_patches_without_all_eight_corners_have_no_rests() -> None:
    assert find_rests(np.vstack([CORNERS, GREYS]), "srgb") is not None
    assert find_rests(np.vstack([CORNERS[1:], GREYS]), "srgb") is None
