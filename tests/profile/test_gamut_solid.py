"""The gamut solid: its volume against an independent count and published figures, and what lies inside it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.spatial import KDTree
from scipy.stats import qmc

from tackside.colour.spaces import (
    ADOBE_RGB,
    SRGB,
    Floats,
    RgbSpace,
    compensate,
    lab_to_rgb,
    relative_lightness,
    rgb_to_lab,
)
from tackside.press.printer.stock_model import cotton_etching, craft_card, semi_gloss
from tackside.profile.gamut.gamut_solid import GamutSolid, solid_of
from tackside.profile.gamut.lattice import fill
from tackside.profile.link.convert import device_to_lab_by_profile
from tests.profile import press_cards
from tests.profile.printer_tables import fitted, open_data, table_profile

# Volumes of the working spaces in CIELAB under D50, from a widely copied table: docs/sources.md, S72.
PUBLISHED = {"srgb": 832_870, "adobe-rgb": 1_208_631}


@cache
def space_solid(space: RgbSpace) -> GamutSolid:
    return solid_of(lambda rgb: rgb_to_lab(rgb, space), 3)


@cache
def cmyk_solid(name: str) -> GamutSolid:
    return solid_of(fitted(name), 4)


@pytest.mark.parametrize("space", [SRGB, ADOBE_RGB], ids=lambda space: space.name)
def test_volumes_of_the_working_spaces_are_the_published_ones(space: RgbSpace) -> None:
    assert space_solid(space).volume == pytest.approx(PUBLISHED[space.name], rel=5e-4)
    assert space_solid(space).lattice.volume == pytest.approx(PUBLISHED[space.name], rel=5e-4)


def test_srgb_is_a_part_of_adobe_rgb() -> None:
    share = space_solid(SRGB).covers(space_solid(ADOBE_RGB))
    assert share.share == pytest.approx(PUBLISHED["srgb"] / PUBLISHED["adobe-rgb"], abs=0.001)
    whole = space_solid(ADOBE_RGB).covers(space_solid(SRGB))
    assert whole.share == pytest.approx(1, abs=0.001)
    assert 0 < whole.sd < 0.001


def test_a_solid_covers_itself_and_nothing_far_away() -> None:
    solid = space_solid(SRGB)
    assert solid.covers(solid).share == 1
    far = GamutSolid((solid.grids[0] + np.array([0, 900.0, 0]),))
    assert solid.covers(far).share == 0


# 30 000 chords along L*, at places in a* and b* drawn by a scrambled Halton sequence: what a chord has inside is
# found by where it cuts the surface's triangles. Neither tetrahedra nor the lattice is used.
@pytest.mark.parametrize("stock", [semi_gloss(), craft_card()], ids=lambda stock: stock.name)
def test_volume_of_a_card_is_that_of_an_independent_monte_carlo(stock: object) -> None:
    solid = solid_of(press_cards.model(stock).to_lab, 3)  # type: ignore[arg-type]
    assert solid.volume == pytest.approx(monte_carlo(solid, 30_000), rel=0.01)
    assert solid.lattice.volume == pytest.approx(solid.volume, rel=0.01)


@pytest.mark.slow
def test_volume_of_four_inks_is_that_of_an_independent_monte_carlo() -> None:
    solid = cmyk_solid("FOGRA39L")
    assert solid.volume == pytest.approx(monte_carlo(solid, 20_000), rel=0.01)


@pytest.mark.slow
def test_open_data_stand_in_their_known_order() -> None:
    """FOGRA39L (coated) holds more than TR 003 (grade 3 coated), and that more than FOGRA29L (uncoated)."""
    volumes = [cmyk_solid(name).volume for name in ("FOGRA39L", "TR003", "FOGRA29L")]
    assert volumes[0] > 1.05 * volumes[1] > 1.5 * 1.05 * volumes[2]
    assert cmyk_solid("FOGRA39L").covers(cmyk_solid("FOGRA29L")).share > 0.97
    whites = {
        name: lab[np.all(cmyk == 0, axis=1)][0] for name, (cmyk, lab) in ((n, open_data(n)) for n in ORDER)
    }
    assert whites["FOGRA29L"][0] > whites["FOGRA39L"][0] > whites["TR003"][0]
    blacks = {name: open_data(name)[1][:, 0].min() for name in ORDER}
    assert blacks["FOGRA29L"] > 20 > 10 > max(blacks["FOGRA39L"], blacks["TR003"])


ORDER = ("FOGRA39L", "TR003", "FOGRA29L")


def test_inside_is_what_the_spaces_own_formula_says() -> None:
    rng = np.random.default_rng(1)
    lab = rng.uniform([0, -90, -110], [100, 100, 95], (200_000, 3))
    rgb = lab_to_rgb(lab, SRGB)
    solid = space_solid(SRGB)
    within = np.all((rgb >= 0) & (rgb <= 1), axis=1)
    wrong = solid.holds(lab) != within
    assert wrong.mean() < 0.02
    # The lattice errs by half a step an axis at most, √3 / 2, and the facets of the surface by little more.
    _, surface = solid._surface_tree
    reach, _ = KDTree(surface).query(lab[wrong])
    assert reach.max() < 2.5


def test_what_falls_outside_is_told_with_how_far() -> None:
    solid = space_solid(SRGB)
    inside = rgb_to_lab(np.random.default_rng(2).uniform(0.2, 0.8, (500, 3)), SRGB)
    nothing = solid.outside(inside)
    assert (nothing.share, nothing.median, nothing.p95) == (0, None, None)
    # ΔE00 of a lightness step from L* 100 upwards, S_L = 1 + 0.015 · 52.5² / √(20 + 52.5²) by hand at L* 102.5.
    above = np.array([[105.0, 0, 0]])
    found = solid.outside(np.vstack([inside, above]), np.r_[np.ones(500), 500])
    assert found.share == 0.5
    assert found.median == pytest.approx(5 / (1 + 0.015 * 52.5**2 / np.sqrt(20 + 52.5**2)), abs=0.02)


def test_what_lies_on_the_surface_is_not_outside() -> None:
    edge = np.random.default_rng(3).random((2000, 3))
    edge[:, 0] = np.round(edge[:, 0])
    assert space_solid(SRGB).outside(rgb_to_lab(edge, SRGB)).share < 0.002


def test_the_surface_is_closed() -> None:
    points, faces = press_cards.model(cotton_etching()).solid.surface
    assert len(faces) == 6 * 2 * 32**2
    _, number = np.unique(points.round(6), axis=0, return_inverse=True)
    edges = np.sort(number.reshape(-1)[faces[:, [0, 1, 1, 2, 2, 0]]].reshape(-1, 2), axis=1)
    _, times = np.unique(edges, axis=0, return_counts=True)
    assert set(times) == {2}


@pytest.mark.slow
def test_the_surface_of_four_inks_leaves_out_what_lies_within() -> None:
    solid = cmyk_solid("FOGRA39L")
    points, faces = solid.surface
    middles = points[faces].mean(axis=1)
    deep = np.all([solid.holds(middles + step) for step in 4 * np.vstack([np.eye(3), -np.eye(3)])], axis=0)
    assert deep.mean() < 0.01
    assert len(faces) < 8 * 6 * 2 * 12**2


def test_beside_its_own_white_a_card_reaches_100() -> None:
    model = press_cards.model(cotton_etching())
    relative = model.solid.relative(model.white_lab)
    assert relative.grids[0][-1, -1, -1] == pytest.approx([100, 0, 0], abs=1e-6)
    assert relative.volume > model.solid.volume


def test_the_solid_of_a_profile_is_that_of_its_card() -> None:
    profile = table_profile(
        3, lambda rgb: press_cards.truth(semi_gloss(), rgb), "Invented semi-gloss", nodes=33
    )
    told = solid_of(lambda rgb: device_to_lab_by_profile(rgb, profile, intent="absolute"), 3)
    true = solid_of(lambda rgb: press_cards.truth(semi_gloss(), rgb), 3)
    assert told.volume == pytest.approx(true.volume, rel=0.003)
    assert press_cards.model(semi_gloss()).solid.volume == pytest.approx(true.volume, rel=0.03)


def test_black_point_compensation_moves_black_and_keeps_white() -> None:
    ends = compensate(np.array([[0.0, 0, 0], [100.0, 0, 0]]), 16.0)
    assert ends == pytest.approx(np.array([[16.0, 0, 0], [100.0, 0, 0]]), abs=1e-9)
    assert compensate(np.array([[40.0, 10, -5]]), 0.0)[0] == pytest.approx([40, 10, -5])
    assert relative_lightness([16.0, 0, 0], [100.0, 0, 0]) == pytest.approx(16)
    assert relative_lightness([16.0, 0, 0], [92.0, 0, 3]) > 16


def test_a_solid_without_end_is_refused() -> None:
    with pytest.raises(ValueError, match="too far apart"):
        fill([np.array([[[0, 0, 0], [1e4, 0, 0], [0, 1e4, 0], [0, 0, 1e4]]], dtype=float)])


def monte_carlo(solid: GamutSolid, chords: int) -> float:
    """The volume by chords along L*: of each grid by its surface's cuts, of several grids by their union."""
    everything = np.concatenate([grid.reshape(-1, 3) for grid in solid.grids])
    low, high = everything.min(axis=0), everything.max(axis=0)
    places = low[1:] + (high - low)[1:] * qmc.Halton(2, seed=1).random(chords)
    cuts = [chord_cuts(GamutSolid((grid,)), places) for grid in solid.grids]
    total = 0.0
    for chord in range(chords):
        spans = sorted(
            (ends[i], ends[i + 1])
            for grid in cuts
            for ends in [grid[chord]]
            for i in range(0, len(ends) - 1, 2)
        )
        reached = -np.inf
        for start, stop in spans:
            total += max(0.0, stop - max(start, reached))
            reached = max(reached, stop)
    return float(total / chords * np.prod((high - low)[1:]))


def chord_cuts(solid: GamutSolid, places: Floats) -> list[list[float]]:
    """At each place (a*, b*), where the upright chord cuts the surface, from below."""
    points, faces = solid.surface
    corners = points[faces]
    found: list[list[float]] = [[] for _ in places]
    order = np.argsort(places[:, 0])
    along = places[order]
    for triangle in corners:
        flat = triangle[:, 1:]
        first, last = np.searchsorted(along[:, 0], [flat[:, 0].min(), flat[:, 0].max()])
        near = along[first:last]
        edges = np.column_stack([flat[1] - flat[0], flat[2] - flat[0]])
        if len(near) == 0 or abs(np.linalg.det(edges)) < 1e-12:
            continue
        weights = np.linalg.solve(edges, (near - flat[0]).T)
        inside = (weights[0] >= 0) & (weights[1] >= 0) & (weights.sum(axis=0) <= 1)
        heights = triangle[0, 0] + weights.T @ (triangle[1:, 0] - triangle[0, 0])
        for row in np.flatnonzero(inside):
            found[order[first + row]].append(float(heights[row]))
    return [sorted(heights) for heights in found]
