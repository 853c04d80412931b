"""Gamut volumes of solids whose volume is known, of sRGB, and of open print data."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.colour.gamut import (
    CMYK_METHOD,
    HULL_METHOD,
    RGB_METHOD,
    device_volume,
    gamut_volume,
    grid_tetrahedra,
    grid_volume,
    hull_volume,
    union_volume,
)
from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_lab
from tests.colour.tables import print_data


def rgb_grid(count: int) -> np.ndarray:
    levels = np.linspace(0, 1, count)
    return np.stack(np.meshgrid(levels, levels, levels, indexing="ij"), axis=-1)


def ball(count: int, radius: float) -> np.ndarray:
    """A grid whose cube is pressed into a ball: points keep their direction, cube shells become spheres."""
    offset = 2 * rgb_grid(count) - 1
    length = np.linalg.norm(offset, axis=-1, keepdims=True)
    shell = np.abs(offset).max(axis=-1, keepdims=True)
    return np.array([50, 0, 0]) + radius * shell * offset / np.where(length == 0, 1, length)


def test_a_cube_has_its_own_volume() -> None:
    cube = 100 * rgb_grid(4)
    assert grid_volume(cube) == pytest.approx(1e6)
    assert hull_volume(cube.reshape(-1, 3)) == pytest.approx(1e6)


def test_a_ball_has_nearly_the_volume_of_a_ball() -> None:
    # 4/3 π r³; flat facets between points on the sphere take a little away, less with more of them.
    exact = 4 / 3 * np.pi * 40**3
    assert grid_volume(ball(33, 40)) == pytest.approx(exact, rel=0.005)
    assert hull_volume(ball(33, 40).reshape(-1, 3)) == pytest.approx(exact, rel=0.005)
    assert grid_volume(ball(9, 40)) < grid_volume(ball(33, 40)) < exact


def test_a_hollow_is_not_filled_by_tetrahedra_but_is_by_the_hull() -> None:
    dented = 100 * rgb_grid(3)
    dented[2, 1, 1] = [50, 50, 50]  # the middle of one face pushed to the centre
    # The face's four squares are halved along one diagonal direction: six of the eight triangles meet at the
    # point, which takes a pyramid over them away: base 3/4 of 100², height 50.
    assert grid_volume(dented) == pytest.approx(1e6 - 0.75 * 100**2 * 50 / 3)
    assert hull_volume(dented.reshape(-1, 3)) == pytest.approx(1e6)


@given(st.permutations([0, 1, 2]), st.sampled_from([1, -1]))
def test_the_order_and_sense_of_device_axes_do_not_matter(order: list[int], sense: int) -> None:
    lab = rgb_to_lab(rgb_grid(5), SRGB)
    turned = lab.transpose(*order, 3)[::sense]
    # The cells' diagonals turn with the axes, which moves the surface between the points a little.
    assert grid_volume(turned) == pytest.approx(grid_volume(lab), rel=0.01)


@given(st.floats(0.1, 3))
def test_volume_grows_with_the_cube_of_the_scale(scale: float) -> None:
    lab = rgb_to_lab(rgb_grid(4), SRGB)
    assert grid_volume(scale * lab) == pytest.approx(scale**3 * grid_volume(lab))
    assert hull_volume(scale * lab.reshape(-1, 3)) == pytest.approx(
        scale**3 * hull_volume(lab.reshape(-1, 3))
    )


def test_srgb_and_adobe_rgb_have_the_volumes_that_are_published() -> None:
    # About 830 000 and 1 210 000 ΔE³ under D50 (docs/sources.md, S72).
    assert grid_volume(rgb_to_lab(rgb_grid(17), SRGB)) == pytest.approx(830_000, rel=0.01)
    assert grid_volume(rgb_to_lab(rgb_grid(17), ADOBE_RGB)) == pytest.approx(1_210_000, rel=0.01)


def test_a_union_counts_an_overlap_once() -> None:
    one = 20 * rgb_grid(2).reshape(-1, 3) + 0.25
    cells = grid_tetrahedra((2, 2, 2))
    shifted = one + np.array([10, 0, 0])
    assert union_volume([one[cells], shifted[cells]], 0.5) == pytest.approx(30 * 20 * 20, rel=1e-6)


def test_a_union_of_one_solid_is_its_volume() -> None:
    lab = rgb_to_lab(rgb_grid(5), SRGB)
    cells = lab.reshape(-1, 3)[grid_tetrahedra((5, 5, 5))]
    assert union_volume([cells], 2.0) == pytest.approx(grid_volume(lab), rel=0.002)


def test_a_union_of_far_flung_solids_stays_within_memory() -> None:
    tetrahedron = np.array([[[0, 0, 0], [1e5, 0, 0], [0, 1e5, 0], [0, 0, 1e5]]], dtype=float)
    # Moved off the lattice's own planes, on which half the surface would count as inside.
    assert union_volume([tetrahedron + 321.7], 1.0) == pytest.approx(1e15 / 6, rel=0.02)


def test_a_press_whose_inks_add_up_has_the_volume_of_their_zonohedron() -> None:
    # Where the colour is a sum of ink vectors the solid is a zonohedron: Σ |det(u, v, w)| over triples.
    inks = np.array([[-15, -21, -27], [-17, 42, -6], [-5, -4, 51], [-42, 1, 1]], dtype=float)
    exact = sum(abs(np.linalg.det(inks[list(triple)])) for triple in combinations(range(4), 3))
    device = np.array(list(product((0.0, 0.5, 1.0), repeat=4)))
    lab = np.array([95, 0, -2]) + device @ inks
    assert device_volume(device, lab) == pytest.approx(exact, rel=0.005)
    assert hull_volume(lab) == pytest.approx(exact)
    assert gamut_volume(device, lab).method == CMYK_METHOD


@pytest.mark.parametrize("name", ["FOGRA39L.txt", "FOGRA29L.txt", "TR003.txt"])
def test_black_ink_adds_to_an_open_press_and_the_hull_bounds_it(name: str) -> None:
    data = print_data(name)
    result = gamut_volume(data.cmyk, data.lab)
    without_black = device_volume(data.cmyk[data.cmyk[:, 3] == 0][:, :3], data.lab[data.cmyk[:, 3] == 0])
    assert result.method == CMYK_METHOD
    assert without_black is not None
    assert without_black < result.volume < hull_volume(data.lab)


def test_uncoated_paper_holds_about_half_of_coated() -> None:
    coated, uncoated = print_data("FOGRA39L.txt"), print_data("FOGRA29L.txt")
    whole = gamut_volume(coated.cmyk, coated.lab).volume
    # About 400 000 ΔE³ for this offset condition (docs/sources.md, S73: from memory).
    assert whole == pytest.approx(400_000, rel=0.1)
    assert 0.4 < gamut_volume(uncoated.cmyk, uncoated.lab).volume / whole < 0.6


def test_scattered_rgb_with_a_cube_inside_is_measured_by_its_cube() -> None:
    rng = np.random.default_rng(5)
    cube = rgb_grid(5).reshape(-1, 3)
    extra = np.concatenate([np.linspace(0, 1, 22)[:, None].repeat(3, axis=1), rng.random((40, 3))])
    device = rng.permutation(np.concatenate([cube, extra]))
    result = gamut_volume(device, rgb_to_lab(device, SRGB))
    assert result.method == RGB_METHOD
    assert result.volume == pytest.approx(grid_volume(rgb_to_lab(rgb_grid(5), SRGB)))


def test_scattered_colours_without_a_grid_take_the_hull() -> None:
    device = np.random.default_rng(6).random((300, 3))
    lab = rgb_to_lab(device, SRGB)
    assert device_volume(device, lab) is None
    assert gamut_volume(device, lab).method == HULL_METHOD
    assert gamut_volume(None, lab).volume == pytest.approx(hull_volume(lab))


@pytest.mark.parametrize("lab", [np.zeros((0, 3)), np.zeros((3, 3)), np.zeros((50, 3))])
def test_colours_that_span_no_solid_have_no_volume(lab: np.ndarray) -> None:
    assert hull_volume(lab) == 0


@pytest.mark.parametrize("method", [RGB_METHOD, HULL_METHOD])
def test_uncertainty_is_what_repeated_noise_gives(method: str) -> None:
    device = rgb_grid(5).reshape(-1, 3)
    lab = rgb_to_lab(device, SRGB)
    asked = device if method == RGB_METHOD else None
    claimed = gamut_volume(asked, lab, noise_sd=0.3)
    rng = np.random.default_rng(10)
    repeats = [gamut_volume(asked, lab + rng.normal(0, 0.3, lab.shape)).volume for _ in range(400)]
    assert claimed.method == method
    # The spread of 400 repeats is itself known to 3.5 %; the hull's corners come and go with the noise.
    assert claimed.sd == pytest.approx(np.std(repeats), rel=0.12 if method == RGB_METHOD else 0.2)


@settings(max_examples=20)
@given(st.integers(0, 1000))
def test_the_hull_is_never_smaller_than_the_tetrahedra(seed: int) -> None:
    lab = rgb_to_lab(rgb_grid(4), SRGB) + np.random.default_rng(seed).normal(0, 3, (4, 4, 4, 3))
    assert grid_volume(lab) <= hull_volume(lab.reshape(-1, 3)) * (1 + 1e-9)
