"""Mean and spread over repeats, what is left after correction, and the smallest border that is safe."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from tackside.fit.placement.measured import UNMEASURED, MeasuredPlacement, measure
from tackside.fit.placement.residual import COMMON_SD_MM, student_95
from tackside.messages.message import Message
from tackside.press.printer.printer_model import PrinterModel
from tackside.records import Placement

A5 = (148.0, 210.0)


def placement(x: float = 0.0, y: float = 0.0, scale_y: float = 1.0, turn: float | None = 0.0) -> Placement:
    return Placement(
        scale_x=1, scale_y=scale_y, rotation_deg=turn, offset_mm=(x, y), residual_um=5, marks_found=12
    )


def found(*placements: Placement, borderless: bool = False) -> MeasuredPlacement:
    measured = measure([(f"T{n}", each) for n, each in enumerate(placements)], A5, borderless=borderless)
    assert measured is not None
    return measured


# Student's t, 97.5 % quantile, as printed in every statistical table (docs/sources.md, S95).
@pytest.mark.parametrize(
    ("freedom", "quantile"), [(1, 12.706), (2, 4.303), (4, 2.776), (9, 2.262), (30, 2.042)]
)
def test_the_quantiles_are_those_of_the_tables(freedom: int, quantile: float) -> None:
    assert student_95(freedom) == pytest.approx(quantile, abs=5e-4)


def test_one_trial_is_corrected_in_full_and_its_spread_is_the_common_one() -> None:
    one = found(placement(1.3, -0.4))
    assert one.offset_mm == pytest.approx((1.3, -0.4))
    assert one.spread is None
    # ±1.5 mm is seen (docs/sources.md, S17: one weak source); the mean of one print is itself as uncertain as
    # the next print.
    assert one.within_95_mm == pytest.approx(1.5 * np.sqrt(2))
    assert one.safe_border_mm == pytest.approx(2 * one.residual_mm)
    assert one.basis.code == "placement.one-print"


def test_repeats_tell_their_own_spread() -> None:
    shifts = [1.0, 1.2, 1.1, 0.9]
    four = found(*(placement(shift) for shift in shifts))
    assert four.offset_mm[0] == pytest.approx(np.mean(shifts))
    assert four.spread is not None
    assert four.spread.offset_mm[0] == pytest.approx(np.std(shifts, ddof=1))
    # The prediction interval for one more observation, here by scipy's own distribution.
    scale = np.std(shifts, ddof=1) * np.sqrt(1 + 1 / 4)
    low, high = stats.t.interval(0.95, df=3, loc=0, scale=scale)
    assert (-four.within_95_mm, four.within_95_mm) == pytest.approx((low, high))
    assert four.residual_mm == pytest.approx(scale)
    assert four.basis == Message("placement.measured", prints=4)


def test_a_turn_counts_by_what_it_moves_at_the_far_corner() -> None:
    turns = found(placement(turn=0.1), placement(turn=-0.1), placement(turn=0.0))
    at_the_far_corner = 210 * np.sin(np.radians(0.1))
    assert turns.residual_mm == pytest.approx(at_the_far_corner * np.sqrt(1 + 1 / 3), rel=1e-3)


def test_two_prints_that_agree_by_luck_do_not_make_a_thin_border_safe() -> None:
    two = found(placement(1.0), placement(1.001))
    assert two.residual_mm == pytest.approx(COMMON_SD_MM * np.sqrt(1.5))
    assert two.basis.code == "placement.two-prints"
    apart = found(placement(0.0), placement(3.0))
    assert apart.residual_mm > two.residual_mm


def test_95_prints_in_100_land_within_the_range() -> None:
    """A thousand invented printers, each measured on four prints and then printing once more."""
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(1000):
        shifts = rng.normal(0.8, 0.3, size=5)
        four = found(*(placement(shift) for shift in shifts[:4]))
        inside += abs(shifts[4] - four.offset_mm[0]) <= four.within_95_mm
    # Four standard deviations of a share of 0.95 in 1000 are 0.028.
    assert inside / 1000 == pytest.approx(0.95, abs=0.028)


def test_an_unmeasured_way_corrects_nothing_and_keeps_the_common_distance() -> None:
    assert UNMEASURED.correction.is_identity
    assert UNMEASURED.within_95_mm == 1.5
    assert UNMEASURED.safe_border_mm == pytest.approx(2 * COMMON_SD_MM)


def test_the_borderless_enlargement_is_measured() -> None:
    press = PrinterModel(enlargement_mm=2.5, offset_mm=(0.4, 0.2))
    measured = found(press.placement(A5), borderless=True)
    assert measured.enlargement_mm == pytest.approx((2.5, 2.5), abs=0.05)
    assert measured.notices == ()
    assert found(placement()).enlargement_mm is None


def test_a_path_that_scales_is_to_be_mended_rather_than_corrected() -> None:
    scaled = Placement(
        scale_x=0.97, scale_y=0.97, rotation_deg=0, offset_mm=(2, 3), residual_um=5, marks_found=12
    )
    assert [each.code for each in found(scaled).notices] == ["placement.scaled"]
    assert found(placement(scale_y=0.985)).notices == ()  # slip along the feed only is the printer's own


def test_trials_that_tell_nothing_are_left_out_and_named() -> None:
    edgeless = Placement(scale_x=1, scale_y=1, residual_um=5, marks_found=12)
    astray = placement(40.0)
    measured = found(edgeless, placement(1.0), astray)
    assert measured.trials == ("T1",)
    assert Message("placement.no-offset", trial="T0") in measured.notices
    assert Message("placement.left-out", trial="T2") in measured.notices
    assert measure([("T0", edgeless)], A5) is None
