"""Swatches: which patch is held beside them, how far apart they lie, and what a pick is kept as."""

from __future__ import annotations

import numpy as np
import pytest
from training.prints import plan_of

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.errors import BadRequest
from tackside.reading.eye import Answers, read_answers
from tackside.reading.eye_questions import answers_from, as_given
from tackside.reading.swatches import MATCHED, Matched, asked_for, is_shown, matched_patch, swatch


@pytest.mark.parametrize("what", MATCHED)
def test_a_sheet_has_a_patch_for_each(what: Matched) -> None:
    sheet = plan_of("srgb")
    patch = matched_patch(sheet, what)
    assert patch is not None
    # The file's own colour is the swatch in the middle, and any screen shows it.
    own = asked_for(sheet, patch)
    assert own == pytest.approx(rgb_to_lab(np.array(patch.rgb), RGB_SPACES["srgb"]))
    assert swatch(own) == pytest.approx(own)
    assert is_shown(own)


def test_nobody_knows_what_device_numbers_ask_for() -> None:
    bare = plan_of("srgb").model_copy(update={"space": None})
    assert not any(matched_patch(bare, what) for what in MATCHED)
    with pytest.raises(ValueError, match="device"):
        asked_for(bare, bare.patches[0])


@pytest.mark.parametrize("what", [one for one in MATCHED if one != "greys"])
def test_neighbours_are_told_apart_and_each_step_moves_one_thing(what: Matched) -> None:
    sheet = plan_of("srgb")
    patch = matched_patch(sheet, what)
    assert patch is not None
    own = asked_for(sheet, patch)
    for steps in ((1, 0, 0), (0, 1, 0), (0, 0, 1), (-1, 0, 0), (0, -1, 0), (0, 0, -1)):
        # Side by side 1 ΔE00 is hardly seen, and 2 at a glance (common practice).
        assert delta_e_2000(own, swatch(own, *steps)) > 2.3
    lighter, stronger = swatch(own, lighter=2), swatch(own, stronger=-2)
    assert lighter[0] - own[0] == pytest.approx(12.0)
    assert lighter[1:] == pytest.approx(own[1:])
    assert np.hypot(*stronger[1:]) / np.hypot(*own[1:]) == pytest.approx(0.64)
    turned = swatch(own, turned=1)
    assert np.hypot(*turned[1:]) == pytest.approx(np.hypot(*own[1:]))
    # Anticlockwise is what the answers call bluer of cyans and greens, yellower of reds, redder of purples.
    axis, sign = {"cyans": (2, -1), "greens": (2, -1), "reds": (2, 1), "purples": (2, 1)}[what]
    assert sign * (turned[axis] - own[axis]) > 0


def test_no_swatch_is_beyond_black_or_white() -> None:
    assert swatch(np.array([95.0, 0.0, 0.0]), lighter=3)[0] == 100.0
    assert swatch(np.array([5.0, 0.0, 0.0]), lighter=-3)[0] == 0.0
    assert not is_shown(np.array([60.0, -90.0, 0.0]))


def test_a_pick_is_kept_in_steps() -> None:
    picked = Answers(greys_match=-1, soft_cyans_match=(2, -3), soft_reds_hue_match=1)
    reading = read_answers(picked, plan_of("srgb"), trial="TRAIL234")
    found = {name: one.value for name, one in reading.attributes.items() if name.startswith("eye_match")}
    assert found == {
        "eye_match_greys_l": -1.0,
        "eye_match_cyans_l": 2.0,
        "eye_match_cyans_s": -3.0,
        "eye_match_reds_h": 1.0,
    }


@pytest.mark.parametrize("said", ["1", "1 2 3", "9 0", "red"])
def test_what_is_no_swatch_is_refused(said: str) -> None:
    with pytest.raises(BadRequest, match="soft_cyans_match"):
        answers_from({"soft_cyans_match": as_given("soft_cyans_match", said)})


def test_two_steps_in_words() -> None:
    assert answers_from({"soft_cyans_match": as_given("soft_cyans_match", "-1 2")}).soft_cyans_match == (
        -1,
        2,
    )
