"""Perceptual and saturation: hue kept, black on black, shadows apart, and the way back the same way."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import (
    ADOBE_RGB,
    SRGB,
    WHITE_D50,
    RgbSpace,
    lab_to_lch,
    lab_to_xyz,
    rgb_to_lab,
    xyz_to_lab,
)
from tackside.profile.build.rendering import REFERENCE_BLACK, Rendering, perceptual, saturation
from tackside.profile.build.tables import Forward, forward_table
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.profile.icc.exact import device_of_lab, lab_of_device
from tests.profile.build.built import built, table
from tests.profile.build.presses import PRESSES

ANYWHERE = np.random.default_rng(8).random((3000, 3))
PRESS = pytest.mark.parametrize("press", PRESSES)
VERSIONS = pytest.mark.parametrize("version", [4, 2])
KINDS = pytest.mark.parametrize("kind", [perceptual, saturation])


def made(press: str, kind: object, version: int) -> tuple[Forward, Rendering]:
    forward = forward_table(PRESSES[press])
    assert callable(kind)
    return forward, kind(GamutSolid((forward.lab,)), float(forward.lab[0, 0, 0, 0]), version)


def in_connection_space(lab: np.ndarray, version: int) -> np.ndarray:
    """A picture's colours as an engine hands them over: in version 4 black goes to the reference medium's."""
    if version == 2:
        return lab
    return xyz_to_lab(lab_to_xyz(lab) * (1 - 0.0034731) + 0.0034731 * WHITE_D50)


def test_the_reference_black_is_the_standards() -> None:
    """XYZ 0.00336, 0.0034731, 0.00287 (docs/sources.md, S107)."""
    assert pytest.approx([0.00336, 0.0034731, 0.00287], abs=2e-5) == REFERENCE_BLACK * WHITE_D50


@PRESS
@KINDS
@VERSIONS
def test_white_and_black_of_a_picture_become_the_cards(press: str, kind: object, version: int) -> None:
    forward, rendering = made(press, kind, version)
    ends = in_connection_space(np.array([[100.0, 0, 0], [0.0, 0, 0]]), version)
    there = rendering.to_printer(ends)
    assert there[0] == pytest.approx([100, 0, 0], abs=0.01)
    assert there[1] == pytest.approx([forward.lab[0, 0, 0, 0], 0, 0], abs=0.01)


@PRESS
@VERSIONS
def test_all_steps_of_a_grey_wedge_stay_apart(press: str, version: int) -> None:
    """Shadow detail: of the steps of a picture's greys none is lost, and the darkest keep a fifth of theirs."""
    profile = built(press, version).data
    wedge = in_connection_space(rgb_to_lab(np.linspace(0, 1, 52)[:, None].repeat(3, axis=1), SRGB), version)
    device = device_of_lab(table(profile, "B2A0"), wedge)
    printed = lab_of_device(table(profile, "A2B1"), device)
    steps, asked = np.diff(printed[:, 0]), np.diff(wedge[:, 0])
    assert steps.min() > 0
    assert np.all(steps[2:] > 0.2 * asked[2:])
    black = lab_of_device(table(profile, "A2B1"), np.zeros((1, 3)))[0]
    assert np.hypot(printed[:, 1], printed[:, 2]).max() < max(1.0, 1.1 * float(np.hypot(*black[1:])))


@PRESS
@pytest.mark.parametrize("space", [SRGB, ADOBE_RGB], ids=lambda space: space.name)
def test_perceptual_keeps_the_hue_and_draws_all_in(press: str, space: RgbSpace) -> None:
    forward, rendering = made(press, perceptual, 2)
    source = rgb_to_lab(ANYWHERE, space)
    aims = rendering.to_printer(source)
    one, other = lab_to_lch(source), lab_to_lch(aims)
    colourful = (one[:, 1] > 20) & (other[:, 1] > 10)
    turn = np.abs((one[colourful, 2] - other[colourful, 2] + 180) % 360 - 180)
    assert turn.max() < 0.01
    solid = GamutSolid((forward.lab,))
    before, after = solid.outside(source), solid.outside(aims)
    assert after.share < 0.15
    assert after.share < before.share / 3


@PRESS
@KINDS
@VERSIONS
def test_the_way_back_is_the_way_there_undone(press: str, kind: object, version: int) -> None:
    _, rendering = made(press, kind, version)
    source = in_connection_space(rgb_to_lab(ANYWHERE, SRGB), version)
    assert delta_e_2000(rendering.from_printer(rendering.to_printer(source)), source).max() < 0.05


@PRESS
@VERSIONS
@pytest.mark.parametrize("number", [0, 2])
def test_a_picture_seen_through_its_own_table_looks_as_it_did(press: str, version: int, number: int) -> None:
    profile = built(press, version).data
    source = in_connection_space(rgb_to_lab(ANYWHERE, SRGB), version)
    seen = lab_of_device(
        table(profile, f"A2B{number}"), device_of_lab(table(profile, f"B2A{number}"), source)
    )
    assert np.median(delta_e_2000(seen, source)) < 2


@PRESS
def test_saturation_is_the_more_colourful(press: str) -> None:
    _, calm = made(press, perceptual, 2)
    _, vivid = made(press, saturation, 2)
    source = rgb_to_lab(ANYWHERE, SRGB)
    chroma = [np.hypot(*each.to_printer(source)[:, 1:].T).mean() for each in (calm, vivid)]
    assert chroma[1] > 1.05 * chroma[0]
