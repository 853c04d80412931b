"""What the invented people who teach the weights pick among swatches.

The spaces are IEC 61966-2-1 and Adobe RGB (1998); figures of screens, papers and prints are this project's own choice.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from training.simulated_by_eye import SHEETS_MM, filled_in, seen_at
from training.swatch_picker import AtScreen, Picker, Screen, grids_of, picks
from training.teacher.prints import states_drawn

from tackside.colour.spaces import (
    RGB_SPACES,
    Floats,
    lab_to_lch,
    lab_to_xyz,
    lch_to_lab,
    rgb_to_lab,
    xyz_to_lab,
)
from tackside.reading.swatches import MATCHED, Matched
from tackside.records.sheet_plan import Space
from tackside.verdict.classifier.likelihoods import STATES

A4 = SHEETS_MM[0]
WHITE = np.array([100.0, 0.0, 0.0])
SOFT = tuple(what for what in MATCHED if what != "greys")


def printed(space: Space = "srgb", meant: Space = "srgb") -> dict[Matched, Floats]:
    """The patches of a sheet of the one space, whose numbers are read as of the other."""
    grids = grids_of(meant, A4)
    return {what: rgb_to_lab(np.array(grid.number), RGB_SPACES[space]) for what, grid in grids.items()}


def picked(
    patches: dict[Matched, Floats],
    meant: Space = "srgb",
    screen: Screen | None = None,
    who: Picker | None = None,
    paper: Floats = WHITE,
) -> dict[str, int | tuple[int, int]]:
    at = AtScreen(screen or Screen(), who or Picker(), grids_of(meant, A4))
    return picks(patches, paper, at, np.random.default_rng(3))


def changed(lighter: float = 0.0, stronger: float = 1.0, turned: float = 0.0) -> dict[Matched, Floats]:
    off = np.array([lighter, 0.0, turned])
    return {what: lch_to_lab(lab_to_lch(lab) * [1.0, stronger, 1.0] + off) for what, lab in printed().items()}


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_a_print_that_shows_what_its_file_asks_for_is_the_middle_of_the_swatches(space: Space) -> None:
    found = picked(printed(space, space), space)
    assert set(found) == {"greys_match"} | {f"soft_{hue}{of}match" for hue in SOFT for of in ("_", "_hue_")}
    assert set(found.values()) == {0, (0, 0)}


@pytest.mark.parametrize(
    ("printed_as", "meant", "cyans", "reds"), [("srgb", "adobe-rgb", -2, -1), ("adobe-rgb", "srgb", 2, 1)]
)
def test_a_space_misread_changes_soft_cyans_twice_as_much_as_soft_reds(
    printed_as: Space, meant: Space, cyans: int, reds: int
) -> None:
    # Of these numbers the one space asks for 1.5 to 1.6 times the chroma of the other in cyans, 1.25 to 1.3 in reds.
    found = picked(printed(printed_as, meant), meant)
    # A screen shows no cyans much stronger than those that a file in sRGB asks for: the strongest that there are.
    shown = [strong for light, strong in grids_of(meant, A4)["cyans"].steps if light == 0]
    assert found["soft_cyans_match"] == (0, min(cyans, max(shown)))
    assert found["soft_reds_match"][1] == reds  # type: ignore[index]
    # The grey of both is nearly one.
    assert found["greys_match"] == 0


def test_each_step_is_picked_by_what_it_moves() -> None:
    for hue in SOFT:
        assert picked(changed(lighter=-12.0))[f"soft_{hue}_match"] == (-2, 0)
        assert picked(changed(stronger=0.8))[f"soft_{hue}_match"] == (0, -1)
        assert picked(changed(turned=-24.0))[f"soft_{hue}_hue_match"] in (
            -2,
            -1,
        )  # a screen shows no greener greens
    assert picked(changed(lighter=7.0))["greys_match"] == 1
    assert picked(changed(turned=12.0))["soft_reds_hue_match"] == 1


def test_a_screen_that_shows_colours_weaker_makes_prints_look_stronger() -> None:
    weak = picked(printed(), screen=Screen(strength=0.8))
    light = picked(printed(), screen=Screen(tone=6.0))
    turned = picked(printed(), screen=Screen(turn=12.0))
    for hue in SOFT:
        assert weak[f"soft_{hue}_match"] == (0, 1)
        assert light[f"soft_{hue}_match"][0] == -1  # type: ignore[index]
        assert turned[f"soft_{hue}_hue_match"] == -1
    assert light["greys_match"] == -1


def test_the_cards_white_is_seen_past_as_far_as_the_eye_adapts() -> None:
    yellowish = np.array([92.0, 1.0, 8.0])
    laid = lab_to_xyz(yellowish) / lab_to_xyz(WHITE)
    on_it = {what: xyz_to_lab(lab_to_xyz(lab) * laid) for what, lab in printed().items()}
    assert picked(on_it, paper=yellowish) == picked(printed())
    assert picked(on_it, paper=yellowish, who=Picker(adapted=0.0)) != picked(printed())


def test_people_slip_and_differ() -> None:
    rng = np.random.default_rng(11)
    at = [AtScreen(Screen.anybodys(rng), Picker.anybody(rng), grids_of("srgb", A4)) for _ in range(200)]
    found = np.array([picks(printed(), WHITE, one, rng)["soft_cyans_match"] for one in at])
    assert np.abs(found.mean(axis=0)).max() < 0.6
    assert (found.std(axis=0) > 0.5).all()
    slips = [picked(printed(), who=replace(Picker(), wrong=1.0))["greys_match"]]
    assert slips != [0]


def test_forms_of_the_teacher_hold_swatches_where_the_sheet_has_a_space() -> None:
    held, bare = set(), set()
    for at, renderings, place, rng in states_drawn(60, 5):
        form = filled_in(at, renderings, STATES[place], rng)
        (bare if form.one.way.kind == "device" else held).update(form.reading.attributes)
    assert {"eye_match_greys_l"} | {f"eye_match_{hue}_{axis}" for hue in SOFT for axis in "lsh"} <= held
    assert not [name for name in bare if "match" in name]
    # All that is looked at is among the numbers that are laid.
    for space in ("srgb", "adobe-rgb"):
        laid = {tuple(number) for number in seen_at(space).tolist()}
        assert all(grid.number in laid for size in SHEETS_MM for grid in grids_of(space, size).values())
