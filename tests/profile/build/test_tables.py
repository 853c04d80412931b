"""The tables: exact at their nodes, rising greys, a round trip that comes back, and LittleCMS of the same mind."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, lab_to_xyz, rgb_to_lab
from tackside.profile.build.lut import NODES, Coding, even_nodes
from tackside.profile.build.tables import LEAST_STEP, forward_table, inverse_table, straight_greys
from tackside.profile.device.inverse import DeviceTable
from tackside.profile.icc import tetra
from tackside.profile.icc.exact import device_of_lab, is_workable, lab_of_device
from tackside.profile.icc.inspect import media_white, to_icc_absolute, to_media_relative
from tests.profile.build.built import NOISE, built, table
from tests.profile.build.presses import PRESSES
from tests.profile.littlecms import PCS_LAB, exact_lab

ANYWHERE = np.random.default_rng(2025).random((5000, 3))
VERSIONS = pytest.mark.parametrize("version", [4, 2])
ALL = pytest.mark.parametrize("press", PRESSES)


def test_a_table_is_read_along_tetrahedra() -> None:
    """Sakamoto's rule spelled out: from the lower corner along the axes, longest rest first."""
    random = np.random.default_rng(1)
    nodes, places = random.random((5, 5, 5, 3)), random.random((200, 3))
    for place, found in zip(places, tetra.between(nodes, places), strict=True):
        spot = place * 4
        at = np.minimum(spot.astype(int), 3)
        rest = spot - at
        value, corner = nodes[tuple(at)].copy(), at.copy()
        for axis in np.argsort(-rest):
            before = nodes[tuple(corner)].copy()
            corner[axis] += 1
            value += rest[axis] * (nodes[tuple(corner)] - before)
        assert found == pytest.approx(value)


def test_a_table_from_cielab_is_read_along_all_axes() -> None:
    random = np.random.default_rng(1)
    nodes, places = random.random((5, 5, 5, 2)), random.random((200, 3))
    axis = np.linspace(0, 1, 5)
    scipys = RegularGridInterpolator((axis, axis, axis), nodes)(places)
    assert tetra.along_axes(nodes, places) == pytest.approx(scipys)


@ALL
def test_a_colour_that_the_printer_holds_is_found_exactly(press: str) -> None:
    forward = forward_table(PRESSES[press])
    wanted = forward.at(ANYWHERE)
    assert np.linalg.norm(forward.at(forward.nearest(wanted)) - wanted, axis=1).max() < 0.02


@VERSIONS
def test_the_inverse_is_exact_at_each_node_inside(version: int) -> None:
    forward = forward_table(PRESSES["halftone"])
    coding = Coding(version)
    device, away = inverse_table(forward, coding)
    inside = away < 0.02
    assert inside.sum() > 500
    assert np.linalg.norm(forward.at(device[inside]) - coding.nodes()[inside], axis=1).max() < 0.02


def evened(lab: np.ndarray) -> np.ndarray:
    """CIELAB with chroma as CIE94's differences add up along it: the integral of 1 / (1 + 0.045 C*)."""
    chroma = np.maximum(np.hypot(lab[..., 1], lab[..., 2]), 1e-9)[..., None]
    return np.concatenate([lab[..., :1], lab[..., 1:] * np.log(1 + 0.045 * chroma) / 0.045 / chroma], axis=-1)


@ALL
def test_nodes_beyond_the_gamut_are_the_nearest_colours(press: str) -> None:
    """By CIE94's differences added up along the way (CIE 116-1995), hue counted double, against a dense search."""
    forward = forward_table(PRESSES[press])
    wanted = np.random.default_rng(2).uniform([5, -100, -100], [95, 100, 100], (60, 3))
    found = evened(forward.at(forward.nearest(wanted)))
    dense = evened(forward.at(np.random.default_rng(3).random((200_000, 3))))
    for lab, aim, near in zip(wanted, evened(wanted), found, strict=True):
        size = np.hypot(*lab[1:])
        along = lab[1:] / size
        across = np.array([-along[1], along[0]]) * (
            1 + size / (size + 5)
        )  # the care for hue comes in with chroma
        ways = np.array([[1, 0, 0], [0, *along], [0, *across]])
        best = np.linalg.norm((dense - aim) @ ways.T, axis=1).min()
        assert np.linalg.norm(ways @ (near - aim)) <= 1.01 * best + 0.1


@ALL
def test_a_bright_green_beyond_the_gamut_ends_less_pale_than_by_weights_for_small_differences(
    press: str,
) -> None:
    forward = forward_table(PRESSES[press])
    green = rgb_to_lab(np.array([[0.0, 1, 0]]), SRGB)
    ours = forward.at(forward.nearest(green))[0]
    small = forward.at(DeviceTable(forward.lab).nearest(green))[0]
    assert np.hypot(*ours[1:]) > 1.1 * np.hypot(*small[1:])


@ALL
@VERSIONS
def test_colours_come_back(press: str, version: int) -> None:
    profile = built(press, version).data
    there, back = table(profile, "A2B1"), table(profile, "B2A1")
    assert is_workable(there)
    assert is_workable(back)
    held = lab_of_device(there, ANYWHERE)
    trip = delta_e_2000(lab_of_device(there, device_of_lab(back, held)), held)
    assert np.median(trip) <= 0.2
    assert np.quantile(trip, 0.99) <= 0.9


@ALL
def test_a_print_through_the_profile_comes_out_as_asked(press: str) -> None:
    """From colours to the press itself: the fit's error and the tables' together."""
    profile = built(press).data
    asked = to_media_relative(PRESSES[press](ANYWHERE), media_white(profile))
    printed = PRESSES[press](device_of_lab(table(profile, "B2A1"), asked))
    apart = delta_e_2000(printed, to_icc_absolute(asked, media_white(profile)))
    assert np.median(apart) <= 0.25
    assert np.quantile(apart, 0.99) <= 1.0


@ALL
@VERSIONS
def test_greys_rise_and_keep_their_hue(press: str, version: int) -> None:
    profile = built(press, version).data
    there = table(profile, "A2B1")
    equal = lab_of_device(there, np.linspace(0, 1, 256)[:, None].repeat(3, axis=1))
    assert np.all(np.diff(equal[:, 0]) > 0)
    # Neutrals asked for, and what the press itself then prints, as far as it has a neutral: near black it has none.
    asked = np.column_stack([np.linspace(equal[0, 0], 100, 256), np.zeros((256, 2))])
    there_and_back = lab_of_device(there, device_of_lab(table(profile, "B2A1"), asked))
    assert np.all(np.diff(there_and_back[:, 0]) > 0)
    press_itself = forward_table(PRESSES[press])
    held = np.linalg.norm(press_itself.at(press_itself.nearest(asked)) - asked, axis=1) < 0.05
    assert held.mean() > 0.7
    printed = PRESSES[press](device_of_lab(table(profile, "B2A1"), asked[held]))
    relative = to_media_relative(printed, lab_to_xyz(PRESSES[press](np.ones((1, 3)))[0]))
    assert np.hypot(relative[:, 1], relative[:, 2]).max() <= 1 + 2 * NOISE


def test_readings_that_fall_are_straightened_and_no_others() -> None:
    lab = np.zeros((9, 9, 9, 3))
    lab[..., 0] = 100 * even_nodes(3, 9).mean(axis=1).reshape(9, 9, 9)
    same, change = straight_greys(lab)
    assert change == 0
    assert same is lab
    falling = lab.copy()
    falling[3, 3, 3, 0] = 20  # its neighbours are at 25 and 50
    straight, change = straight_greys(falling)
    greys = straight[np.arange(9), np.arange(9), np.arange(9), 0]
    assert np.diff(greys).min() >= LEAST_STEP - 1e-9
    # Isotonic regression by hand: the two that fall take their mean.
    assert greys[2:4] == pytest.approx([22.5, 22.5], abs=LEAST_STEP)
    assert change == pytest.approx(2.5, abs=LEAST_STEP)
    assert np.abs(straight - falling)[0, 8, 8].max() < 1e-6  # far from grey nothing moves
    glowing = lab.copy()
    glowing[7, 7, 7, 0] = 103  # lighter than the paper
    straight, change = straight_greys(glowing)
    assert straight[8, 8, 8, 0] == 100
    assert straight[7, 7, 7, 0] == pytest.approx(100 - LEAST_STEP)


@ALL
@VERSIONS
def test_littlecms_works_the_tables_as_we_do(press: str, version: int) -> None:
    """Through the library itself in double precision: from device numbers, and from CIELAB and back."""
    profile = built(press, version).data
    stored = np.rint(ANYWHERE * 65535).astype(np.uint16)
    for number, intent in enumerate(("perceptual", "relative", "saturation")):
        theirs = exact_lab(stored, [profile, PCS_LAB], [intent, "relative"], [False, False])
        ours = lab_of_device(table(profile, f"A2B{number}"), stored / 65535)
        if intent == "relative" or version == 2:
            assert delta_e_2000(ours, theirs).max() < 0.02
    asked = np.random.default_rng(6).uniform([0, -80, -80], [100, 80, 80], (5000, 3))
    chain = [PCS_LAB, profile, profile, PCS_LAB]
    theirs = exact_lab(asked, chain, ["relative"] * 4, [False] * 4)
    there, back = table(profile, "A2B1"), table(profile, "B2A1")
    ours = lab_of_device(there, device_of_lab(back, asked))
    assert np.quantile(delta_e_2000(ours, theirs), 0.99) < 0.3


def test_nodes_are_even() -> None:
    for version in (2, 4):
        nodes = Coding(version).nodes().reshape(NODES, NODES, NODES, 3)
        assert np.ptp(np.diff(nodes[:, 0, 0, 0])) < 1e-9
        assert nodes[0, 0, 0] == pytest.approx([0, -128, -128])
    assert Coding(4).nodes()[-1] == pytest.approx([100, 127, 127])
    assert Coding(2).nodes()[-1] == pytest.approx([100.390625, 127.99609375, 127.99609375])
