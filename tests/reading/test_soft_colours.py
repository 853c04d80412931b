"""The soft colours of a sheet: which patches are meant, and that it is these that a misread space changes."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.reading.soft_colours import Hue, soft_patches
from tackside.records import SheetPlan
from tackside.sheet.blocks.cube import cube
from tests.verdict.readings import trial

HUES: tuple[Hue, ...] = get_args(Hue)


def asked_for(sheet: SheetPlan, hue: Hue, space: str) -> Floats:
    return rgb_to_lab(np.array([patch.rgb for patch in soft_patches(sheet, hue)]), RGB_SPACES[space])


def chroma(sheet: SheetPlan, hue: Hue, space: str) -> float:
    lab = asked_for(sheet, hue, space)
    return float(np.hypot(lab[:, 1], lab[:, 2]).mean())


@pytest.mark.parametrize("steps", range(4, 10))
def test_a_cube_of_four_steps_or_more_has_some_of_each(steps: int) -> None:
    sheet = trial().sheet
    one = sheet.patches[0]
    made = tuple(
        one.model_copy(
            update={"name": each.name, "rgb": tuple(byte / 255 for byte in each.numbers), "roles": each.roles}
        )
        for each in cube(steps)
    )
    found = {hue: soft_patches(sheet.model_copy(update={"patches": made}), hue) for hue in HUES}
    assert all(found.values())
    assert len(found["cyans"]) == len(found["reds"])
    # Purples and blues are as grey as they come, and have a hue.
    for hue in ("purples", "blues"):
        apart = [max(patch.rgb) - min(patch.rgb) for patch in found[hue]]
        assert min(apart) >= 0.14
        assert max(apart) - min(apart) < 0.01
        assert min(apart) < 1 / (steps - 1) + 0.01 or 1 / (steps - 1) < 0.14


def test_a_sheet_has_some_of_each_in_its_cube() -> None:
    sheet = trial().sheet
    assert all(soft_patches(sheet, hue) for hue in HUES)
    assert all("cube" in patch.roles for hue in HUES for patch in soft_patches(sheet, hue))


# By the definition of sRGB (IEC 61966-2-1) alone; Adobe RGB (1998) has purples 7° further.
@pytest.mark.parametrize(
    ("hue", "angle"), [("reds", 26.0), ("purples", 325.0), ("blues", 290.0), ("cyans", 197.0)]
)
def test_each_hue_has_its_angle(hue: Hue, angle: float) -> None:
    lab = asked_for(trial().sheet, hue, "srgb").mean(axis=0)
    assert np.degrees(np.arctan2(lab[2], lab[1])) % 360 == pytest.approx(angle, abs=2.0)


def test_a_sheet_without_a_cube_has_none() -> None:
    sheet = trial().sheet
    bare = sheet.model_copy(update={"patches": tuple(p for p in sheet.patches if "cube" not in p.roles)})
    assert not any(soft_patches(bare, hue) for hue in HUES)


@pytest.mark.parametrize(("hue", "least", "most"), [("cyans", 1.4, 1.9), ("reds", 1.15, 1.45)])
def test_the_wider_space_makes_cyans_stronger_than_reds(hue: Hue, least: float, most: float) -> None:
    # By the definitions of both spaces alone (IEC 61966-2-1; Adobe RGB (1998), 4.3).
    sheet = trial().sheet
    assert least < chroma(sheet, hue, "adobe-rgb") / chroma(sheet, hue, "srgb") < most
