"""The placement of a way of printing, gathered from what a bench holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.fit.placement.measured import MeasuredPlacement
from tackside.press.printer.printer_model import PrinterModel
from tackside.records import Placement
from tackside.records.sheet_plan import Side
from tackside.workflow.placement import measured_for, ways_measured
from tests.fit.placement.benches import keep_trial
from tests.fit.stocks import feed, horizontal, printer, stock

A6 = stock((105, 148), horizontal(74))
MACHINE = printer(feed("rear"), feed("tray"))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    made.stocks.add(A6)
    made.printers.add(MACHINE)
    return made


def shifted(x: float, y: float = 0.0) -> Placement:
    return PrinterModel(offset_mm=(x, y)).placement((105, 148))


def measured(bench: Bench, *, feed: str = "rear", side: Side = "front") -> MeasuredPlacement | None:
    return measured_for(
        bench, A6.name, MACHINE.name, feed=feed, side=side, size_mm=(105, 148), borderless=False
    )


def test_an_empty_bench_has_measured_nothing(bench: Bench) -> None:
    assert measured(bench) is None
    keep_trial(bench, A6, MACHINE)
    keep_trial(bench, A6, MACHINE, None)
    assert measured(bench) is None


def test_repeats_of_one_way_are_averaged(bench: Bench) -> None:
    trials = [keep_trial(bench, A6, MACHINE, shifted(x)) for x in (1.0, 1.2, 1.7)]
    found = measured(bench)
    assert found is not None
    assert found.trials == tuple(trials)
    assert found.offset_mm[0] == pytest.approx(1.3)
    assert found.correction.apply([(10.0, 10.0)])[0] == pytest.approx((8.7, 10.0))


def test_two_scans_of_one_print_are_no_repeat_and_the_newer_counts(bench: Bench) -> None:
    keep_trial(bench, A6, MACHINE, shifted(1.0), shifted(2.0), None)
    found = measured(bench)
    assert found is not None
    assert len(found.trials) == 1
    assert found.offset_mm[0] == pytest.approx(2.0)


def test_another_feed_side_or_mode_is_another_way(bench: Bench) -> None:
    keep_trial(bench, A6, MACHINE, shifted(1.0))
    keep_trial(bench, A6, MACHINE, shifted(5.0), feed="tray")
    keep_trial(bench, A6, MACHINE, shifted(-3.0), side="back")
    keep_trial(bench, A6, MACHINE, shifted(7.0), borderless=True)
    front, tray, back = measured(bench), measured(bench, feed="tray"), measured(bench, side="back")
    assert front is not None
    assert tray is not None
    assert back is not None
    assert [each.offset_mm[0] for each in (front, tray, back)] == pytest.approx([1.0, 5.0, -3.0])
    ways = ways_measured(bench, A6.name, MACHINE.name)
    assert [(way.feed, way.side, way.borderless) for way, _ in ways] == [
        ("rear", "front", False),
        ("tray", "front", False),
        ("rear", "back", False),
        ("rear", "front", True),
    ]


def test_the_sheet_turned_is_another_way(bench: Bench) -> None:
    keep_trial(bench, A6, MACHINE, shifted(1.0))
    assert (
        measured_for(
            bench, A6.name, MACHINE.name, feed="rear", side="front", size_mm=(148, 105), borderless=False
        )
        is None
    )


def test_a_fit_names_the_way_that_its_trials_were_printed(bench: Bench) -> None:
    keep_trial(bench, A6, MACHINE, shifted(1.0))
    fit = fit_stock(A6, MACHINE)
    assert fit.feed is not None
    found = measured_for(
        bench,
        fit.stock,
        fit.printer,
        feed=fit.feed,
        side=fit.side,
        size_mm=fit.size_mm,
        borderless=fit.borderless,
    )
    assert found is not None
