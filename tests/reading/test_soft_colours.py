"""The soft colours of a sheet: which patches are meant, and that it is these that a misread space changes."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.colour.rgb_spaces import RGB_SPACES, rgb_to_lab
from tackside.reading.soft_colours import Hue, soft_patches
from tackside.records import SheetPlan
from tests.verdict.readings import trial


def chroma(sheet: SheetPlan, hue: Hue, space: str) -> float:
    lab = rgb_to_lab(np.array([patch.rgb for patch in soft_patches(sheet, hue)]), RGB_SPACES[space])
    return float(np.hypot(lab[:, 1], lab[:, 2]).mean())


def test_a_sheet_with_a_fine_cube_has_some_of_each() -> None:
    sheet = trial().sheet
    for hue in ("cyans", "reds"):
        found = soft_patches(sheet, hue)
        assert found
        assert all("cube" in patch.roles for patch in found)


def test_a_sheet_without_a_cube_has_none() -> None:
    sheet = trial().sheet
    bare = sheet.model_copy(update={"patches": tuple(p for p in sheet.patches if "cube" not in p.roles)})
    assert soft_patches(bare, "cyans") == soft_patches(bare, "reds") == ()


@pytest.mark.parametrize(("hue", "least", "most"), [("cyans", 1.4, 1.9), ("reds", 1.15, 1.45)])
def test_the_wider_space_makes_cyans_stronger_than_reds(hue: Hue, least: float, most: float) -> None:
    # By the definitions of both spaces alone (IEC 61966-2-1; Adobe RGB (1998), 4.3).
    sheet = trial().sheet
    assert least < chroma(sheet, hue, "adobe-rgb") / chroma(sheet, hue, "srgb") < most
