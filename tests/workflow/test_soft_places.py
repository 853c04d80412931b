"""Where the sheet has the soft colours that the form by eye asks about, in the colours of its file."""

from __future__ import annotations

import pytest
from training.prints import plan_of

from tackside.reading.soft_colours import Hue, soft_patches
from tackside.workflow.answers import soft_of, swatches_of

BESIDE_GOOD = {f"soft_{of}_beside_good" for of in ("cyans", "reds", "reds_hue", "purples_hue", "blues_hue")}
SWATCHES = {"greys_match"} | {
    f"soft_{hue}_{of}match" for hue in ("cyans", "reds", "greens", "purples") for of in ("", "hue_")
}


def test_the_soft_patches_are_marked_where_they_are_printed() -> None:
    sheet = plan_of("srgb")
    found = soft_of(sheet)
    assert set(found) == BESIDE_GOOD
    cyans = found["soft_cyans_beside_good"]
    assert cyans.marked == tuple(patch.box_mm for patch in soft_patches(sheet, "cyans"))
    assert found["soft_reds_hue_beside_good"] == found["soft_reds_beside_good"]
    turned: tuple[Hue, ...] = ("purples", "blues")
    for hue in turned:
        assert found[f"soft_{hue}_hue_beside_good"].marked == tuple(
            patch.box_mm for patch in soft_patches(sheet, hue)
        )
    drawn = dict(cyans.patches)
    assert set(cyans.marked) <= set(drawn)
    for box in drawn:
        assert cyans.around.x <= box.x
        assert box.right <= cyans.around.right
        assert cyans.around.y <= box.y
        assert box.bottom <= cyans.around.bottom


def test_swatches_have_the_files_own_colour_in_their_middle() -> None:
    sheet = plan_of("srgb")
    found = swatches_of(sheet)
    assert set(found) == SWATCHES
    for field, its in found.items():
        (marked,) = its.places.marked
        row = its.rows[len(its.rows) // 2]
        own = row[len(row) // 2]
        assert own is not None
        assert own.colour == dict(its.places.patches)[marked]
        assert own.picked == ("0 0" if len(its.rows) > 1 else "0")
        assert len({each.colour for each in row if each}) == sum(each is not None for each in row), field
    light = [row[0] for row in found["soft_reds_match"].rows]
    assert [each.lighter for each in light if each] == [3, 2, 1, 0, -1, -2, -3]
    # The strongest of the darkest cyans is beyond what any screen shows.
    assert found["soft_cyans_match"].rows[-1][-1] is None


def test_on_screen_a_wide_file_has_its_own_colours() -> None:
    # (0.33, 0.67, 0.67) is another colour in each space.
    narrow, wide = (soft_of(plan_of(space))["soft_cyans_beside_good"] for space in ("srgb", "adobe-rgb"))
    box = narrow.marked[0]
    assert dict(narrow.patches)[box] != dict(wide.patches)[box]
    plain = next(patch for patch in soft_patches(plan_of("srgb"), "cyans") if patch.box_mm == box)
    shown = dict(narrow.patches)[box]
    # As the file has it, and the browser rounds.
    assert [int(shown[at : at + 2], 16) for at in (1, 3, 5)] == pytest.approx(
        [255 * part for part in plain.rgb], abs=1.0
    )


def test_a_file_without_a_space_is_not_held_against_a_screen() -> None:
    sheet = plan_of("srgb").model_copy(update={"space": None})
    assert set(soft_of(sheet)) == BESIDE_GOOD
    assert swatches_of(sheet) == {}
    bare = sheet.model_copy(update={"patches": ()})
    assert soft_of(bare) == swatches_of(bare) == {}
