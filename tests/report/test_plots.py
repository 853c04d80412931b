"""Drawings: sound XML, the right geometry, no colour without a pattern or a mark beside it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from lxml import etree
from scipy.spatial import ConvexHull

from tackside.records import GRADES
from tackside.report.patches import patch_table
from tackside.report.plots.axes import Axes
from tackside.report.plots.hue_plane import Reach, hue_plane, outline
from tackside.report.plots.patch_grid import patch_grid
from tackside.report.plots.series import STYLES, key
from tackside.report.plots.tone_curve import Tone, tone_curve
from tackside.report.plots.wedge import wedge
from tests.report.invented import entry


@given(
    arrays(
        np.float64,
        st.tuples(st.integers(4, 60), st.just(2)),
        elements=st.floats(-100, 100).map(lambda v: round(v, 3)),
    )
)
def test_the_outline_is_the_convex_hull(points: np.ndarray) -> None:
    """Against Qhull (scipy) by area; points on a line have none."""
    hull = outline(points)
    x, y = hull[:, 0], hull[:, 1]
    area = 0.5 * (np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) if len(hull) > 2 else 0.0
    try:
        reference = ConvexHull(points).volume
    except Exception:  # noqa: BLE001  Qhull refuses flat input in more than one way
        reference = 0.0
    assert area == pytest.approx(reference, abs=0.5, rel=1e-3)


def test_axes_put_data_where_they_say() -> None:
    axes = Axes(400, 300, (0, 100), (-50, 50), left=40, right=10, top=20, bottom=30)
    assert axes.at(0, -50) == (40, 270)
    assert axes.at(100, 50) == (390, 20)
    assert axes.at(50, 0) == (215, 145)


def test_the_hue_plane_is_square_in_a_and_b() -> None:
    drawn = etree.fromstring(hue_plane([Reach("S", np.array([[50.0, 0], [0, 50], [-50, 0], [0, -50]]), {})]))
    polygon = drawn.find("{*}polygon")
    corners = np.array([[float(v) for v in pair.split(",")] for pair in polygon.get("points").split()])
    spread = corners.max(axis=0) - corners.min(axis=0)
    assert spread[0] == pytest.approx(spread[1], rel=1e-3)


def test_every_series_has_a_look_of_its_own_beyond_colour() -> None:
    looks = set()
    for index in range(STYLES):
        mark = etree.fromstring(key(index))[1]
        looks.add((mark.tag, len(mark.get("points", "").split()), mark.get("points", "")))
    assert len(looks) == STYLES


@pytest.mark.parametrize("label", ['<script>alert("x")</script>', "Peg & Line", "Ünïcøde „Satin“"])
def test_drawings_are_sound_xml_whatever_the_name(label: str) -> None:
    table = patch_table(entry(label))
    tone = Tone(label, np.linspace(0, 1, 5), np.linspace(5, 95, 5))
    reach = Reach(label, np.random.default_rng(3).uniform(-60, 60, (20, 2)), {"C": (-40.0, -30.0, "#00aabb")})
    for drawing in (hue_plane([reach]), tone_curve([tone]), patch_grid(table.pairs, label)):
        root = etree.fromstring(drawing)
        assert root.get("role") == "img"
        assert label in root.get("aria-label")
        assert not root.findall(".//{*}script")


def test_every_patch_is_drawn_in_two_halves() -> None:
    table = patch_table(entry())
    root = etree.fromstring(patch_grid(table.pairs, "S"))
    cells = [group for group in root.findall(".//{*}g") if group.find("{*}title") is not None]
    assert len(cells) == len(table.pairs)
    left, right = cells[0].findall("{*}rect")
    assert float(left.get("x")) + float(left.get("width")) == float(right.get("x"))
    assert (left.get("fill"), right.get("fill")) == (
        table.pairs[20].aim,
        table.pairs[20].print,
    )  # lightest first


def test_the_tone_curve_rises_where_the_print_does() -> None:
    tone = Tone("S", np.array([1.0, 0.0, 0.5]), np.array([95.0, 5.0, 50.0]))  # in any order
    line = etree.fromstring(tone_curve([tone])).find("{*}polyline")
    points = [[float(v) for v in pair.split(",")] for pair in line.get("points").split()]
    assert [x for x, _ in points] == sorted(x for x, _ in points)
    assert [y for _, y in points] == sorted((y for _, y in points), reverse=True)


@pytest.mark.parametrize("grade", GRADES)
def test_the_wedge_fills_as_far_as_the_grade(grade: str) -> None:
    root = etree.fromstring(wedge(grade))  # type: ignore[arg-type]
    filled = [rect for rect in root.findall("{*}rect") if "on" in rect.get("class").split()]
    assert len(filled) == 4 - GRADES.index(grade)  # type: ignore[arg-type]
