"""The gamut volume of profiles against a Monte Carlo that shares nothing with it: rays through the surface."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import product

import numpy as np
import pytest

from tackside.colour.spaces import ADOBE_RGB, SRGB, RgbSpace, lab_to_xyz, xyz_d50_to_rgb
from tackside.profile.gamut.gamut_solid import solid_of
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import device_to_lab_by_profile
from tests.profile.table_profiles import cmyk_printer, rgb_printer

POINTS = 400_000

ToLab = Callable[[np.ndarray], np.ndarray]


def monte_carlo(inside: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray) -> float:
    points = np.random.default_rng(20).uniform(low, high, (POINTS, 3))
    return float(inside(points).mean() * np.prod(high - low))


def faces_of_cube(to_lab: ToLab, held: dict[int, float], channels: int, nodes: int) -> np.ndarray:
    """Triangles (m, 3, 3) of the six faces of a three-dimensional cube in device space, ``held`` channels fixed."""
    free = [channel for channel in range(channels) if channel not in held]
    axis = np.linspace(0, 1, nodes)
    triangles = []
    for axis_number, end in product(range(3), (0.0, 1.0)):
        u, v = np.meshgrid(axis, axis, indexing="ij")
        device = np.zeros((nodes, nodes, channels))
        for channel, level in held.items():
            device[..., channel] = level
        device[..., free[axis_number]] = end
        device[..., free[(axis_number + 1) % 3]] = u
        device[..., free[(axis_number + 2) % 3]] = v
        face = to_lab(device.reshape(-1, channels)).reshape(nodes, nodes, 3)
        corners = [face[:-1, :-1], face[1:, :-1], face[1:, 1:], face[:-1, 1:]]
        for three in ((0, 1, 2), (0, 2, 3)):
            triangles.append(np.stack([corners[i].reshape(-1, 3) for i in three], axis=1))
    return np.concatenate(triangles)


def below_odd_crossings(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Whether a ray from each point straight up, along L*, leaves through an odd number of triangles."""
    order = np.argsort(points[:, 1])
    points, crossings = points[order], np.zeros(len(points), dtype=int)
    for a, b, c in triangles:
        first, last = np.searchsorted(points[:, 1], [min(a[1], b[1], c[1]), max(a[1], b[1], c[1])])
        if first == last:
            continue
        x, y = points[first:last, 1], points[first:last, 2]
        area = (b[1] - a[1]) * (c[2] - a[2]) - (c[1] - a[1]) * (b[2] - a[2])
        if area == 0:
            continue
        s = ((x - a[1]) * (c[2] - a[2]) - (c[1] - a[1]) * (y - a[2])) / area
        t = ((b[1] - a[1]) * (y - a[2]) - (x - a[1]) * (b[2] - a[2])) / area
        height = a[0] + s * (b[0] - a[0]) + t * (c[0] - a[0])
        crossings[first:last] += (s >= 0) & (t >= 0) & (s + t <= 1) & (height > points[first:last, 0])
    inside = np.empty(len(points), dtype=bool)
    inside[order] = crossings % 2 == 1
    return inside


@pytest.mark.parametrize(("name", "space"), [("srgb", SRGB), ("adobe-rgb", ADOBE_RGB)])
def test_the_volume_of_a_working_space_is_that_of_its_formula(name: str, space: RgbSpace) -> None:
    profile = working_space_profile("srgb" if name == "srgb" else "adobe-rgb")
    solid = solid_of(partial(device_to_lab_by_profile, profile=profile, intent="absolute"), 3)
    low, high = np.array([0.0, -135, -125]), np.array([100.0, 105, 125])

    def inside(lab: np.ndarray) -> np.ndarray:
        rgb = xyz_d50_to_rgb(lab_to_xyz(lab), space)
        return np.all((rgb >= 0) & (rgb <= 1), axis=1)

    # Some 0.3 % of the Monte Carlo's own at this many points.
    assert solid.volume == pytest.approx(monte_carlo(inside, low, high), rel=0.01)


@pytest.mark.parametrize("version", [2, 4])
def test_the_volume_of_an_rgb_printer_is_that_of_its_surface(version: int) -> None:
    to_lab = partial(device_to_lab_by_profile, profile=rgb_printer(version), intent="absolute")
    triangles = faces_of_cube(to_lab, {}, 3, 25)
    low, high = triangles.min(axis=(0, 1)), triangles.max(axis=(0, 1))
    expected = monte_carlo(lambda points: below_odd_crossings(points, triangles), low, high)
    assert solid_of(to_lab, 3).volume == pytest.approx(expected, rel=0.01)


@pytest.mark.slow
def test_the_volume_of_a_cmyk_printer_is_that_of_all_its_cubes_together() -> None:
    # Not the facets of the hypercube, as the volume counts them, but slices of one ink held at nine levels.
    to_lab = partial(device_to_lab_by_profile, profile=cmyk_printer(2), intent="absolute")
    cubes = [faces_of_cube(to_lab, {3: level}, 4, 13) for level in np.linspace(0, 1, 9)]
    cubes += [faces_of_cube(to_lab, {ink: level}, 4, 13) for ink in range(3) for level in (0.0, 1.0)]
    corners = np.concatenate(cubes)
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))

    def inside(points: np.ndarray) -> np.ndarray:
        return np.any([below_odd_crossings(points, cube) for cube in cubes], axis=0)

    assert solid_of(to_lab, 4).volume == pytest.approx(monte_carlo(inside, low, high), rel=0.01)
