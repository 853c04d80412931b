"""The convex hull of a few hundred points beside SciPy's (Qhull), on clouds, lattices, spheres and what is flat."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from tackside.colour import hull as hulls
from tackside.colour.hull import MOST_POINTS, hull_planes, hull_volume_and_slopes, small_hull

RANDOM = np.random.default_rng(11)


def cloud(count: int) -> np.ndarray:
    return RANDOM.normal(size=(count, 3)) * [20, 40, 40]


def sphere(count: int) -> np.ndarray:
    points = cloud(count)
    return 50 * points / np.linalg.norm(points, axis=1, keepdims=True)


def lattice(count: int) -> np.ndarray:
    """Many on one line and in one plane, and many twice."""
    return RANDOM.integers(0, 5, (count, 3)) * 20.0


@pytest.mark.parametrize("points", [*map(cloud, (4, 8, 60, 500)), *map(lattice, (60, 500)), sphere(200)])
def test_faces_and_planes_are_those_of_qhull(points: np.ndarray) -> None:
    hull = ConvexHull(points)
    found = small_hull(points)
    assert found is not None
    faces, planes = found
    around = points - points.mean(axis=0)
    corners = around[faces]
    volume = np.sum(np.cross(corners[:, 0], corners[:, 1]) * corners[:, 2]) / 6
    assert volume == pytest.approx(hull.volume, rel=1e-10)
    for way in (planes, hull.equations):  # each plane is one of the other's
        other = hull.equations if way is planes else planes
        assert np.abs(way[:, None] - other).max(axis=2).min(axis=1).max() < 1e-6


def test_slopes_are_the_differences_that_moved_points_make() -> None:
    points = cloud(40)
    volume, slopes = hull_volume_and_slopes(points)
    for number in (0, 7, 39):
        for axis in range(3):
            moved = points.copy()
            moved[number, axis] += 1e-4
            assert (hull_volume_and_slopes(moved)[0] - volume) / 1e-4 == pytest.approx(
                slopes[number, axis], rel=1e-3, abs=1e-2
            )


@pytest.mark.parametrize(
    "points",
    [
        cloud(60) * [1, 1, 0],
        np.outer(np.arange(9.0), [1, 2, 3]),
        np.ones((7, 3)),
        cloud(3),
        np.full((6, 3), np.nan),
        np.empty((0, 3)),
        cloud(MOST_POINTS + 1),
    ],
)
def test_what_has_no_such_hull_gets_no_answer(points: np.ndarray) -> None:
    assert small_hull(points) is None


def test_where_it_has_no_answer_scipy_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    points = cloud(200)
    volume, slopes = hull_volume_and_slopes(points)
    planes = hull_planes(points)
    monkeypatch.setattr(hulls, "small_hull", lambda _: None)
    assert hull_volume_and_slopes(points)[0] == pytest.approx(volume, rel=1e-12)
    assert hull_volume_and_slopes(points)[1] == pytest.approx(slopes, abs=1e-9)
    again = hull_planes(points)
    assert planes is not None
    assert again is not None
    assert len(planes) == len(again)
    flat = points * [1, 0, 1]
    assert hull_volume_and_slopes(flat)[0] == 0
    assert hull_planes(flat) is None
