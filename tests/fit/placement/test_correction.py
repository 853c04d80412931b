"""A correction takes back shift, scale, turn and skew, and says what it can't reach."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.fit.placement.correction import IDENTITY, Correction, corners_of, matrix_of, moved, placement_of
from tackside.fit.placement.measured import correction_from
from tackside.press.printer.printer_model import PrinterModel
from tackside.records import Placement

PRESSES = st.builds(
    PrinterModel,
    offset_mm=st.tuples(st.floats(-3, 3), st.floats(-3, 3)),
    scale_x=st.floats(0.98, 1.02),
    scale_y=st.floats(0.98, 1.02),
    rotation_deg=st.floats(-1, 1),
    skew_deg=st.floats(-0.5, 0.5),
    enlargement_mm=st.sampled_from([0.0, 2.5, 4.0]),
)
SIZES = st.tuples(st.floats(90, 330), st.floats(90, 490))


@given(PRESSES, SIZES)
def test_what_is_asked_for_after_correction_is_printed_where_it_was_wanted(
    press: PrinterModel, size: tuple[float, float]
) -> None:
    correction = correction_from([press.placement(size)], size)
    printed = press.asked_to_printed(size)  # the press's own map, made apart from the code under test
    for wanted in (*corners_of(size), (size[0] / 3, size[1] / 5)):
        asked = correction.apply([wanted])[0]
        assert printed[:, :2] @ np.array(asked) + printed[:, 2] == pytest.approx(wanted, abs=1e-9)


@given(PRESSES, SIZES, st.tuples(st.floats(-10, 500), st.floats(-10, 500)))
def test_apply_and_inverse_undo_each_other(
    press: PrinterModel, size: tuple[float, float], point: tuple[float, float]
) -> None:
    correction = correction_from([press.placement(size)], size)
    assert correction.inverse(correction.apply([point]))[0] == pytest.approx(point, abs=1e-9)


@given(PRESSES, SIZES)
def test_placement_and_map_tell_the_same(press: PrinterModel, size: tuple[float, float]) -> None:
    placement = press.placement(size)
    matrix = matrix_of(placement)
    assert matrix is not None
    scale_x, scale_y, turn, _, offset = placement_of(matrix)
    assert (scale_x, scale_y) == pytest.approx((placement.scale_x, placement.scale_y))
    assert turn == pytest.approx(placement.rotation_deg, abs=1e-9)
    assert offset == pytest.approx(placement.offset_mm)


def test_a_shift_is_taken_back_by_the_opposite_shift() -> None:
    shifted = Placement(
        scale_x=1, scale_y=1, rotation_deg=0, offset_mm=(1.3, -0.5), residual_um=0, marks_found=8
    )
    assert correction_from([shifted], (210, 297)).apply([(10.0, 20.0)])[0] == pytest.approx((8.7, 20.5))


def test_the_mean_of_repeats_is_taken_back_point_for_point() -> None:
    size = (210.0, 297.0)
    presses = [PrinterModel(offset_mm=(1, 0)), PrinterModel(offset_mm=(2, 1), scale_y=0.99, rotation_deg=0.4)]
    correction = correction_from([press.placement(size) for press in presses], size)
    for wanted in corners_of(size):
        asked = np.array(correction.apply([wanted])[0])
        maps = [press.asked_to_printed(size) for press in presses]
        printed = np.mean([each[:, :2] @ asked + each[:, 2] for each in maps], axis=0)
        assert printed == pytest.approx(wanted, abs=1e-9)


def test_nothing_known_corrects_nothing() -> None:
    scales_only = Placement(scale_x=1.01, scale_y=1, residual_um=5, marks_found=4)
    assert correction_from([], (210, 297)).is_identity
    assert correction_from([scales_only], (210, 297)).is_identity
    assert IDENTITY.apply([(3.0, 4.0)]) == [(3.0, 4.0)]


def test_a_borderless_file_reaches_past_the_sheet_by_the_enlargement() -> None:
    size = (210.0, 297.0)
    correction = correction_from([PrinterModel(enlargement_mm=2.5).placement(size)], size)
    assert correction.reach(size) == pytest.approx((-2.5, -2.5, 215, 302))
    # What is wanted at the sheet's very corner is asked for inside the file, by 2.5 mm of an enlarged print.
    assert correction.apply([(0.0, 0.0)])[0] == pytest.approx((2.5 * 210 / 215, 2.5 * 297 / 302))


@given(PRESSES, SIZES)
def test_all_of_the_reach_can_be_asked_for(press: PrinterModel, size: tuple[float, float]) -> None:
    correction = correction_from([press.placement(size)], size)
    reach = correction.reach(size)
    corners = [
        (reach.x, reach.y),
        (reach.right, reach.y),
        (reach.x, reach.bottom),
        (reach.right, reach.bottom),
    ]
    for x, y in correction.apply(corners):
        assert -0.1 <= x <= size[0] + 0.1
        assert -0.1 <= y <= size[1] + 0.1


def test_a_map_keeps_its_own_points() -> None:
    assert moved(Correction().matrix, (7.0, 8.0)) == (7.0, 8.0)
