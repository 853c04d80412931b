"""Rows find their patches by name or by RGB; repeats are averaged."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.reading.instrument.file import INSTRUMENT_DE00, read_instrument_file
from tackside.records import Patch, SheetPanel, SheetPlan
from tackside.units import Box
from tests.reading.instrument.dialects import CHART_LAB, CHART_RGB, NAMES, Dialect, write_cgats


def plan() -> SheetPlan:
    """A sheet that holds the invented chart."""
    whole = Box(0, 0, 100, 100)
    return SheetPlan(
        version=1,
        size_mm=(100, 100),
        ppi=600,
        size_px=(2362, 2362),
        space="srgb",
        purpose="path",
        side="front",
        borderless=False,
        panels=(SheetPanel(name="front", trim=whole, printable=whole),),
        creases=(),
        patches=tuple(
            Patch(name=name, rgb=tuple(rgb), box_mm=Box(5 * i, 5, 5, 5), roles=("cube",), panel="front")
            for i, (name, rgb) in enumerate(zip(NAMES, CHART_RGB.tolist(), strict=True))
        ),
        marks=(),
        tags=(),
        targets=(),
    )


def saved(folder: Path, data: bytes) -> Path:
    path = folder / "chart.txt"
    path.write_bytes(data)
    return path


def test_rows_are_matched_by_name_in_any_order(tmp_path: Path) -> None:
    order = np.random.default_rng(1).permutation(len(NAMES))
    data = write_cgats(Dialect(), CHART_RGB[order], CHART_LAB[order], [NAMES[i].lower() for i in order])
    reading = read_instrument_file(saved(tmp_path, data), plan())
    assert [patch.name for patch in reading.patches] == list(NAMES)
    np.testing.assert_allclose([patch.lab for patch in reading.patches], CHART_LAB, atol=1e-6)


def test_rows_with_other_names_are_matched_by_rgb(tmp_path: Path) -> None:
    data = write_cgats(Dialect(full_scale=100), names=[str(i) for i in range(len(NAMES))])
    reading = read_instrument_file(saved(tmp_path, data), plan())
    assert [patch.name for patch in reading.patches] == list(NAMES)


def test_names_that_rgb_contradicts_are_not_believed(tmp_path: Path) -> None:
    # The chart's rows bear the sheet's names, each on the next patch's colour.
    data = write_cgats(Dialect(), names=[*NAMES[1:], NAMES[0]])
    reading = read_instrument_file(saved(tmp_path, data), plan())
    np.testing.assert_allclose([patch.lab for patch in reading.patches], CHART_LAB, atol=1e-6)


def test_another_charts_file_is_refused(tmp_path: Path) -> None:
    data = write_cgats(Dialect(), CHART_RGB * 0.9 + 0.04, CHART_LAB, [f"X{i}" for i in range(len(NAMES))])
    with pytest.raises(BadInstrumentFile) as refusal:
        read_instrument_file(saved(tmp_path, data), plan())
    told = Message("instrument.another-chart", file="chart.txt", found=0, patches=12)
    assert refusal.value.message == told


def test_missing_and_surplus_rows_are_told(tmp_path: Path) -> None:
    rgb = np.vstack([CHART_RGB[:10], [(0.35, 0.35, 0.1)]])
    lab = np.vstack([CHART_LAB[:10], [(40, 0, 20)]])
    data = write_cgats(Dialect(), rgb, lab, [*NAMES[:10], "extra"])
    notices = read_instrument_file(saved(tmp_path, data), plan()).notices
    assert Message("instrument.patches-missing", count=2, patches=12) in notices
    assert Message("instrument.rows-left-out", count=1) in notices


@pytest.mark.parametrize("with_plan", [True, False])
def test_repeats_are_averaged_and_their_spread_is_kept(tmp_path: Path, with_plan: bool) -> None:
    shift = np.array([0.3, 0.0, 0.4])  # the two readings of each patch lie 2 × 0.5 apart
    data = write_cgats(
        Dialect(),
        np.vstack([CHART_RGB] * 2),
        np.vstack([CHART_LAB - shift, CHART_LAB + shift]),
        [*NAMES, *NAMES],
    )
    reading = read_instrument_file(saved(tmp_path, data), plan() if with_plan else None)
    assert len(reading.patches) == len(NAMES)
    np.testing.assert_allclose([patch.lab for patch in reading.patches], CHART_LAB, atol=1e-6)
    # Two values x ± d have the sample standard deviation d·√2; here d is 0.5 ΔE*ab.
    assert [patch.sd for patch in reading.patches] == pytest.approx([0.5 * math.sqrt(2)] * len(NAMES))
    assert reading.uncertainty.de00 == pytest.approx(math.hypot(INSTRUMENT_DE00, 0.5 * math.sqrt(2)))


def test_a_bare_reading_says_what_it_is(tmp_path: Path) -> None:
    path = saved(tmp_path, write_cgats(Dialect()))
    reading = read_instrument_file(path)
    assert (reading.kind, reading.source_name, reading.trial) == ("instrument", "chart.txt", None)
    assert reading.uncertainty.comparable_with == "colorimetric"
    assert len(reading.source_sha256) == 64
