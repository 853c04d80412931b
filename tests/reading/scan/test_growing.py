"""Which marks belong to one sheet."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.reading.scan.marks.detections import Seen, SeenMark
from tackside.reading.scan.marks.sheets import find_sheets
from tackside.records import Mark
from tests.sheet import sheets

PLAN = sheets.plan("a5-folded")
BED_PX = (9000, 9000)
Place = tuple[float, tuple[float, float]]


def seen(mark: Mark, place: Place, noise: np.random.Generator, number: int | None = None) -> SeenMark:
    """The mark as a detector sees it on a sheet at ``place``: angle in degrees, top left corner in pixels."""
    angle, corner = place
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    x, y, w, h = mark.box_mm
    square = np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]])
    corners = square @ np.array([[c, s], [-s, c]]) * 11.8 + corner + noise.normal(0, 0.15, (4, 2))
    return SeenMark(mark.id if number is None else number, corners, corners.mean(axis=0))


angles = st.floats(-180, 180)


@settings(max_examples=40)
@given(one=angles, two=angles, seed=st.integers(0, 2**32 - 1), strays=st.integers(0, 6))
def test_growing_never_claims_a_mark_of_another_sheet(one: float, two: float, seed: int, strays: int) -> None:
    rng = np.random.default_rng(seed)
    # Two copies whose middles are 4000 pixels apart: the diagonal of A5 at 300 ppi is 3033.
    first = [seen(mark, (one, _corner(one, (2200, 4500))), rng) for mark in PLAN.marks]
    second = [seen(mark, (two, _corner(two, (6200, 4500))), rng) for mark in PLAN.marks]
    lost = rng.random(len(first)) < 0.3
    lost[:4] = False
    kept = [mark for mark, gone in zip(first, lost, strict=True) if not gone]
    # Marks from elsewhere with ids of this sheet, as another layout has them.
    others = [
        seen(PLAN.marks[0], (float(rng.uniform(-180, 180)), tuple(rng.uniform(0, 9000, 2))), rng, number=k)
        for k in rng.choice([mark.id for mark in PLAN.marks], strays)
    ]
    everything = [*kept, *second, *others]
    shuffled = tuple(everything[k] for k in rng.permutation(len(everything)))
    for sheet in find_sheets(Seen(shuffled, (), BED_PX), PLAN):
        its = [mark for _, mark in sheet.marks]
        assert all(planned.id == mark.id for planned, mark in sheet.marks)
        own = [sum(mark is each for mark in its for each in group) for group in (kept, second, others)]
        assert sorted(own)[:2] == [0, 0], own


@settings(max_examples=40)
@given(angle=angles, seed=st.integers(0, 2**32 - 1))
def test_a_whole_sheet_is_found_with_all_its_marks(angle: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    marks = tuple(seen(mark, (angle, _corner(angle, (4500, 4500))), rng) for mark in PLAN.marks)
    (sheet,) = find_sheets(Seen(marks, (), BED_PX), PLAN)
    assert len(sheet.marks) == len(PLAN.marks)
    assert sheet.residual_um < 40
    np.testing.assert_allclose(sheet.map.px_per_mm, 11.8, rtol=1e-3)


def test_marks_strewn_about_are_no_sheet() -> None:
    rng = np.random.default_rng(8)
    for _ in range(50):
        strewn = tuple(
            seen(mark, (float(rng.uniform(-180, 180)), tuple(rng.uniform(2000, 7000, 2))), rng)
            for mark in PLAN.marks
        )
        assert find_sheets(Seen(strewn, (), BED_PX), PLAN) == []


def _corner(angle: float, middle: tuple[float, float]) -> tuple[float, float]:
    """Where the sheet's top left corner lies when its middle is at ``middle``."""
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    half = np.array(PLAN.size_mm) / 2 * 11.8
    x, y = np.array(middle) - (c * half[0] - s * half[1], s * half[0] + c * half[1])
    return float(x), float(y)
