"""A path sheet is graded by what a good path shows of its colours: coated papers pass, others do not, by every path."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray
from PIL import Image, ImageCms
from scipy.spatial import ConvexHull
from training.path_limits.gamuts import between, characterised
from training.path_limits.paths import Path as Way
from training.path_limits.paths import paths

from tackside.colour.spaces import RGB_SPACES, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.profile.device.device import INTENTS, Intent
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import device_to_lab_by_profile
from tackside.records import GRADES, Measure, Settings
from tackside.records.sheet_plan import Space
from tackside.verdict.grade.grading import gamut_of_the_card
from tackside.verdict.grade.limits import (
    COVERAGE,
    LEAST_STRAY,
    LEFT_BY_STRAY,
    SHOWN,
    black_limits,
    lifted,
    way_of,
)
from tackside.verdict.grade.rules import BLACK, GAMUT, MANAGEMENT, rules_for
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint, Printed
from tests import services
from tests.extent import share
from tests.verdict.path_prints import (
    HELD_OUT,
    REFERENCE,
    SET_BY,
    SPACES,
    graded,
    known_gamut,
    measured,
    numbers,
    path_reading,
    path_trial,
    scanned,
)

PASSES = {"sell", "send"}
PROFILES = ["libvips", "libgs-common"]
# Of the ways into gamut these show the most and the least of it, and a usual one.
CLIPS = ("ΔE*ab", "CIE94, hue × 2", "lightness kept")
TABLES = ("made for its own space, knee 2, black toe", "made for 15 % more, knee 1, black straight")
PRESSES = [
    pytest.param(name, marks=pytest.mark.skipif(services.open_charts() is None, reason="no open charts"))
    for name in HELD_OUT
] + list(SET_BY)


# All papers and both spaces; how they are paired goes by turns.
BY_TURNS = [
    pytest.param(
        name, space, marks=pytest.mark.skipif(name in HELD_OUT and no_charts, reason="no open charts")
    )
    for no_charts in [services.open_charts() is None]
    for number, name in enumerate([*HELD_OUT, *SET_BY])
    for space in share(SPACES, 2, number)
]


def ways(space: Space) -> Iterator[Way]:
    for way in paths(space, clips=CLIPS):
        if way.intent != "perceptual" or way.way in TABLES:
            yield way


def noted(way: Way) -> Settings:
    return Settings(
        colour_managed_by="application", intent=way.intent, black_point_compensation=way.compensated
    )


@pytest.mark.parametrize(("name", "space"), BY_TURNS)
def test_coated_papers_pass_and_others_do_not_by_every_path(name: str, space: Space) -> None:
    gamut, rgb = known_gamut(name), numbers(space)
    coated = (SET_BY | HELD_OUT)[name] == "coated"
    found = {}
    for way in ways(space):
        reading = path_reading(space, way.show(gamut, rgb))
        for settings in (noted(way), Settings()):
            grade, _ = graded(path_trial(space, settings), reading)
            found[way.way, way.intent, way.compensated, settings.intent] = grade
    assert len(found) == 22
    assert {way: grade for way, grade in found.items() if (grade in PASSES) != coated} == {}


@cache
def profile_of(name: str) -> bytes:
    """A CMYK profile that others made: what libvips holds, and what Debian's package brings."""
    if name == "libvips":
        return bytes(pyvips.Operation.call("profile_load", "cmyk"))
    path = services.printing_profile()
    if path is None:
        pytest.skip(f"no {name}")
    return Path(path).read_bytes()


@cache
def through(name: str, space: Space, intent: Intent, compensated: bool) -> NDArray[np.float64]:
    """CIELAB (n, 3) of the sheet through the profile, by LittleCMS as Pillow has it, on the paper that it describes."""
    codes = np.round(numbers(space) * 255).astype(np.uint8)
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(working_space_profile(space))),
        ImageCms.ImageCmsProfile(io.BytesIO(profile_of(name))),
        "RGB",
        "CMYK",
        renderingIntent=ImageCms.Intent(INTENTS.index(intent)),
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION if compensated else ImageCms.Flags.NONE,
    )
    inks = ImageCms.applyTransform(Image.fromarray(codes[None], "RGB"), transform)
    assert inks is not None
    return device_to_lab_by_profile(
        np.asarray(inks)[0].astype(float) / 255, profile_of(name), intent="absolute"
    )


@pytest.mark.parametrize(("space", "intent", "compensated"), list(product(SPACES, INTENTS, (True, False))))
@pytest.mark.parametrize("name", PROFILES)
def test_prints_through_others_profiles_of_coated_paper_pass(
    name: str, space: Space, intent: Intent, compensated: bool
) -> None:
    reading = path_reading(space, through(name, space, intent, compensated))
    settings = Settings(colour_managed_by="application", intent=intent, black_point_compensation=compensated)
    assert graded(path_trial(space, settings), reading)[0] in PASSES
    assert graded(path_trial(space), reading)[0] in PASSES


@pytest.mark.parametrize("space", SPACES)
def test_what_is_hidden_without_compensation_is_allowed_where_nothing_forbids_it(space: Space) -> None:
    # On a black of L* 13 a relative path without compensation shows nothing below 0.13 to 0.16 of the numbers.
    reading = path_reading(space, through("libvips", space, "relative", False))
    for settings, grade, code in (
        (Settings(intent="relative", black_point_compensation=False), "send", "rule.shadows.uncompensated"),
        (Settings(), "send", "rule.shadows.uncompensated"),
        # Absolute colorimetric has no compensation, whatever was noted.
        (Settings(intent="absolute", black_point_compensation=True), "send", "rule.shadows.uncompensated"),
    ):
        shadows = next(
            one for one in graded(path_trial(space, settings), reading)[1] if one.rule == "shadows"
        )
        assert (shadows.grade, shadows.sentence.code) == (grade, code)
    held = Settings(intent="relative", black_point_compensation=True)
    shadows = next(one for one in graded(path_trial(space, held), reading)[1] if one.rule == "shadows")
    # The sheet's own steps: 0.149 is held against 0.16, 0.2 is more than that.
    assert shadows.grade == ("send" if space == "srgb" else "draft")
    good = path_reading(space, through("libvips", space, "relative", True))
    assert graded(path_trial(space, held), good)[0] == "sell"


@pytest.mark.parametrize("name", SET_BY)
def test_the_table_of_what_paths_show_holds_for_the_data_that_it_came_from(name: str) -> None:
    # docs/sources.md, S101: the span of the corners within the stated interval of what each path shows of them.
    gamut = known_gamut(name)
    for space in SPACES:
        inside = []
        for way in ways(space):
            printed, found = measured(
                path_trial(space, noted(way)), path_reading(space, way.show(gamut, numbers(space)))
            )
            card = gamut_of_the_card(printed, found)
            assert card is not None
            assert isinstance(card.value, float)
            off = np.log(1000 * card.value / gamut.span)
            # Twice the spread and a little: of these few ways two are the farthest there are.
            inside.append(abs(off) <= (COVERAGE + 0.75) * SHOWN[space, way_of(printed)].spread)
        assert np.mean(inside) >= 0.9


@pytest.mark.parametrize("name", PRESSES)
def test_the_gamut_that_is_inferred_is_the_cards(name: str) -> None:
    gamut = known_gamut(name)
    for space in SPACES:
        relative = next(
            way for way in paths(space, clips=("CIE94",)) if way.intent == "relative" and way.compensated
        )
        trial = path_trial(space, noted(relative))
        printed, found = measured(trial, path_reading(space, relative.show(gamut, numbers(space))))
        card = gamut_of_the_card(printed, found)
        assert card is not None
        assert isinstance(card.value, float)
        assert card.sd is not None
        assert card.value == pytest.approx(gamut.span / 1e3, abs=COVERAGE * card.sd + 0.02 * card.value)


@pytest.mark.parametrize("levels", ["a6", "a4-folded"])
def test_a_finer_cube_is_held_against_more(levels: str) -> None:
    # The same path on the same gamut gives the same card, whatever the sheet's size (S101).
    gamut = known_gamut("FOGRA39L")
    way = next(way for way in ways("srgb") if way.way == "CIE94, hue × 2" and way.compensated)
    printed, found = measured(
        path_trial("srgb", noted(way), levels),
        path_reading("srgb", way.show(gamut, numbers("srgb", levels)), levels),
    )
    card = gamut_of_the_card(printed, found)
    assert card is not None
    assert card.value == pytest.approx(gamut.span / 1e3, rel=0.08)


def test_numbers_of_a_wide_space_read_as_those_of_a_narrow_one_are_no_good_print() -> None:
    # Beside the aims of the file, by a path that says it shows them: about 0.85 of their chroma.
    gamut, rgb = known_gamut("FOGRA39L"), numbers("adobe-rgb")
    way = next(way for way in ways("adobe-rgb") if way.way == CLIPS[1] and way.compensated)
    sound = path_reading("adobe-rgb", way.show(gamut, rgb))
    as_srgb = next(way for way in ways("srgb") if way.way == CLIPS[1] and way.compensated)
    misread = path_reading("adobe-rgb", as_srgb.show(gamut, rgb))
    trial = path_trial("adobe-rgb", noted(way))
    assert graded(trial, sound)[0] == "sell"
    assert graded(trial, misread)[0] == "send"
    assert measured(trial, sound)[1]["path_chroma"].value == pytest.approx(1.0, abs=0.03)
    assert measured(trial, misread)[1]["path_chroma"].value == pytest.approx(0.85, abs=0.04)


def test_a_space_that_was_likely_misread_is_not_fit_to_sell_though_nothing_was_noted() -> None:
    gamut, rgb = known_gamut("FOGRA39L"), numbers("adobe-rgb")
    way = next(way for way in ways("adobe-rgb") if way.way == CLIPS[1] and way.compensated)
    sound = path_reading("adobe-rgb", way.show(gamut, rgb))
    as_srgb = next(way for way in ways("srgb") if way.way == CLIPS[1] and way.compensated)
    misread = path_reading("adobe-rgb", as_srgb.show(gamut, rgb))
    trial = path_trial("adobe-rgb")
    # By what it spans alone it might be sold.
    assert graded(trial, misread)[0] == "sell"
    verdict = judge(KnownPrint(misread, trial, reference=KnownPrint(sound, trial)))
    assert verdict.cause == "wide-read-as-narrow"
    assert verdict.grade == "send"
    held = [one for one in verdict.rules if one.grade == "send"]
    assert [one.rule for one in held] == [MANAGEMENT]
    assert verdict.path is not None
    assert verdict.path.grade == "send"
    assert verdict.card is not None
    assert verdict.card.grade == "sell"
    assert judge(KnownPrint(sound, trial)).grade == "sell"


@pytest.mark.parametrize("space", SPACES)
def test_a_hue_that_is_gone_is_no_print_to_send(space: Space) -> None:
    # Magenta taken out of the whole print: reds, magentas and blues keep yellow and cyan alone.
    gamut, rgb = known_gamut("FOGRA39L"), numbers(space)
    lab = rgb_to_lab(rgb, RGB_SPACES[space])
    way = next(way for way in ways(space) if way.way == CLIPS[1] and way.compensated)
    whole = way.show(gamut, rgb)
    reddish = (lab[:, 1] > 10) & (np.hypot(lab[:, 1], lab[:, 2]) > 10)
    gone = np.where(reddish[:, None], whole * [1, 0, 1], whole)
    grade, outcomes = graded(path_trial(space), path_reading(space, gone))
    assert grade in ("draft", "reject")
    hues = next(one for one in outcomes if one.rule == "hues")
    assert hues.sentence.code == "rule.hues.path-missing"


@pytest.mark.parametrize("space", SPACES)
def test_greys_of_any_intent_are_no_cast_on_cream_paper(space: Space) -> None:
    # Absolute colorimetric leaves greys neutral, relative gives them the paper's cream: both are right.
    rgb = numbers(space)
    aims = rgb_to_lab(rgb, RGB_SPACES[space])
    depth = np.clip(1 - aims[:, 0] / 100, 0, 1)
    light = 94 - depth * 80
    cream = np.array([1.0, 9.0])
    for tint, intent in ((cream * (1 - 0.85 * depth)[:, None], "relative"), (0 * aims[:, 1:], "absolute")):
        lab = np.column_stack([light, np.where(depth[:, None] > 0.02, aims[:, 1:] * 0.7 + tint, cream)])
        for settings in (Settings(intent=intent), Settings()):
            greys = next(
                one
                for one in graded(path_trial(space, settings), path_reading(space, lab))[1]
                if one.rule == "greys"
            )
            assert greys.grade == "sell"
        # Where relative was noted, a neutral grey on cream paper is off its aim.
        if intent == "absolute":
            held = graded(path_trial(space, Settings(intent="relative")), path_reading(space, lab))[1]
            assert GRADES.index(next(one for one in held if one.rule == "greys").grade) > 0


@pytest.mark.parametrize("stray", [0.01, 0.025, 0.04])
@pytest.mark.parametrize("name", ["FOGRA39L", "TR003", "FOGRA29L"])
def test_stray_light_takes_no_coated_card_its_grade_and_gives_a_bare_one_none(
    name: str, stray: float
) -> None:
    # One to four hundredths of the light stray in a flatbed (common practice, no source).
    gamut = known_gamut(name)
    for space in SPACES:
        way = next(way for way in ways(space) if way.way == CLIPS[1] and way.compensated)
        seen = scanned(path_reading(space, way.show(gamut, numbers(space))), stray)
        for settings in (noted(way), Settings()):
            verdict = judge(KnownPrint(seen, path_trial(space, settings)))
            assert (verdict.grade in PASSES) == (SET_BY[name] == "coated"), (space, settings, verdict.causes)


def test_a_lifted_black_is_allowed_for_by_the_least_that_strays() -> None:
    # A hundredth of the light of white over Y 0.0442 is Y 0.0542, which is L* 27.9 (CIE 15).
    assert lifted(25.0) == pytest.approx(27.9, abs=0.05)
    for base, surface in (("plain", "unknown"), ("photo", "gloss"), ("photo", "semi-gloss")):
        plain = Printed(base=base, surface=surface)
        sell, send, draft = black_limits(plain)
        assert black_limits(replace(plain, lifted=True)) == (sell, lifted(send), draft)


@pytest.mark.parametrize("space", SPACES)
def test_a_colour_volume_under_stray_light_is_allowed_what_the_light_takes(space: Space) -> None:
    # A hundredth of the light of white, added to what a path shows on a card at the limit of "send" (CIE 15).
    coated, uncoated = (characterised(REFERENCE / f"{name}.txt") for name in ("FOGRA39L", "FOGRA29L"))
    card = between("at the limit", coated, uncoated, GAMUT.limits[1])
    way = next(way for way in ways(space) if way.way == CLIPS[1] and way.compensated)
    shown = way.show(card, numbers(space))
    veiled = xyz_to_lab(lab_to_xyz(shown) + LEAST_STRAY * lab_to_xyz([100.0, 0.0, 0.0]))
    left = ConvexHull(veiled).volume / ConvexHull(shown).volume
    assert left == pytest.approx(LEFT_BY_STRAY, abs=0.01)
    seen = Measure(value=ConvexHull(veiled).volume, unit="ΔE³")
    for printed in (Printed(), Printed(path=True, levels=4, space=space)):
        plain, lit = (
            rules_for(one, {"path_gamut": seen}) for one in (printed, replace(printed, lifted=True))
        )
        limits, allowed = (next(rule.limits for rule in one if rule.id == "gamut") for one in (plain, lit))
        assert (allowed[0], allowed[2]) == (limits[0], limits[2])
        assert allowed[1] == pytest.approx(LEFT_BY_STRAY * limits[1], rel=0.01)


def test_a_black_that_shows_no_coating_gets_no_allowance() -> None:
    # Limits rise as black does, evenly: a lighter black never gets an easier gamut, nor quite another one at once.
    sell, send, _ = BLACK.limits
    for space, intent in product(SPACES, (None, *INTENTS)):
        printed, found = measured(
            path_trial(space, Settings(intent=intent)),
            path_reading(space, through("libvips", space, "relative", True)),
        )
        limits = []
        for black in (12.0, *np.linspace(sell, send, 11), 30.0):
            seen = found | {"black_l": Measure(value=float(black), unit="L*")}
            limits.append(next(rule for rule in rules_for(printed, seen) if rule.id == GAMUT.id).limits)
        assert limits[0] == limits[1]
        assert limits[-2] == limits[-1]
        for deep, light in pairwise(limits):
            for less, more in zip(deep, light, strict=True):
                assert less <= more <= 1.08 * less
