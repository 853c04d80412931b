"""Spoilage from the log, the order of printing, and the calendar."""

from __future__ import annotations

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.run.money.costing import BatchSheets
from tackside.run.plan.batches import batches_of
from tackside.run.plan.calendar import timetable
from tackside.run.plan.run_file import Labour, Waste, WorkingHours
from tackside.run.plan.waste import USUAL_SPOILED, Log, sheets_to_print, spoilage_of, wilson
from tests.refusals import refused
from tests.run.invented import CRAFT, SATIN, TERN, card, line, plan, run


@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_wilsons(counted: tuple[int, int]) -> None:
    hits, of = counted
    # SciPy's own score interval.
    expected = stats.binomtest(hits, of).proportion_ci(confidence_level=0.90, method="wilson")
    assert wilson(hits, of) == pytest.approx((expected.low, expected.high), abs=1e-4)


def test_a_short_log_falls_back_on_the_usual_figures_and_says_so() -> None:
    told = spoilage_of(Log(good=20, spoiled=9), Waste())
    assert told.share == USUAL_SPOILED
    assert told.share_basis == Message("run.spoilage-usual", least=0.05, most=0.10)
    assert told.setup_basis == Message("run.setup-usual", least=2, most=4)


def test_a_long_log_is_believed() -> None:
    told = spoilage_of(Log(good=190, spoiled=10, setups=(1, 2, 2)), Waste())
    assert told.share[1] == 0.05
    assert told.share[0] < 0.05 < told.share[2]
    assert told.setup == (1, 2, 2)
    assert told.share_basis == Message("run.spoilage-from-log", sheets=200)
    assert told.setup_basis == Message("run.setup-from-log", batches=3)


def test_the_run_files_own_figures_come_first() -> None:
    told = spoilage_of(Log(good=190, spoiled=10), Waste(spoiled_share=0.2, setup_sheets=0))
    assert (told.share, told.setup) == ((0.2, 0.2, 0.2), (0, 0, 0))
    assert (told.share_basis.code, told.setup_basis.code) == ("run.spoilage-given", "run.setup-given")


@given(st.integers(1, 100_000), st.floats(0, 0.5))
def test_printed_sheets_leave_enough_good_ones(good: int, share: float) -> None:
    printed = sheets_to_print(good, share)
    assert printed * (1 - share) >= good - 1e-4
    assert (printed - 1) * (1 - share) < good + 1e-4


@given(
    st.lists(
        st.tuples(st.sampled_from(["A", "B"]), st.sampled_from(["x", "y", "z"]), st.sampled_from(["s", "t"])),
        min_size=1,
        max_size=30,
    )
)
def test_nothing_is_changed_at_the_printer_twice(asked: list[tuple[str, str, str]]) -> None:
    lines = [
        line(card(f"c{number}", 1, printer=printer, stock=stock, setting=setting))
        for number, (printer, stock, setting) in enumerate(asked)
    ]
    batches = batches_of(lines)
    keys = [(batch.printer, batch.stock, batch.setting) for batch in batches]
    assert len(set(keys)) == len(keys) == len(set(asked))
    assert sum(len(batch.lines) for batch in batches) == len(lines)
    # A printer's stocks, and all of one stock, stand together: no name comes back once another has come.
    for part in (1, 2):
        seen = [key[:part] for key in keys]
        runs = [each for number, each in enumerate(seen) if number == 0 or seen[number - 1] != each]
        assert len(runs) == len(set(runs))


at = datetime.fromisoformat


def test_the_calendar_of_a_small_run_by_hand() -> None:
    two = plan(run(card("Boats", 10), card("Gulls", 10, stock=CRAFT)))
    counts = [BatchSheets(10, 0, 0), BatchSheets(10, 0, 0)]
    hours = WorkingHours(start=date(2026, 5, 4), print_minutes=6)  # a Monday
    told = timetable(two.batches, counts, hours, Labour(rate=0, setup_minutes=30, minutes_per_card=3))
    by_name = {(step.what.code, step.batch): (step.start, step.end) for step in told.steps}
    # Nine o'clock: 30 min set up, 10 × 6 min printing; the second batch follows at once.
    assert by_name["run.step-print", 1] == (at("2026-05-04T09:30"), at("2026-05-04T10:30"))
    assert by_name["run.step-set-up", 2] == (at("2026-05-04T10:30"), at("2026-05-04T11:00"))
    assert by_name["run.step-print", 2][1] == at("2026-05-04T12:00")
    # docs/sources.md, S58: 24 h at least before sleeving; then 20 × 3 min.
    assert by_name["run.step-finish", None] == (
        at("2026-05-05T12:00"),
        at("2026-05-05T13:00"),
    )
    assert told.done == at("2026-05-05T13:00")
    assert told.drying_places == 5  # a sheet every 6 min, touch-dry after 30


def test_work_does_not_go_on_at_night_or_at_the_weekend() -> None:
    one = plan(run(card("Boats", 200)))
    hours = WorkingHours(
        start=date(2026, 5, 8), from_time=time(9), to_time=time(12), print_minutes=3
    )  # a Friday
    told = timetable(
        one.batches, [BatchSheets(100, 0, 0)], hours, Labour(rate=0, setup_minutes=0, minutes_per_card=0)
    )
    (printing,) = (step for step in told.steps if step.what.code == "run.step-print")
    # 300 min: 180 on Friday, 120 on Monday.
    assert printing.end == at("2026-05-11T11:00")


def test_the_second_face_waits_for_the_first_to_dry() -> None:
    both = plan(run(card("Boats", 10, faces=2)))
    hours = WorkingHours(start=date(2026, 5, 4), print_minutes=3, touch_dry_minutes=30)
    told = timetable(both.batches, [BatchSheets(10, 0, 0)], hours, Labour(rate=0, setup_minutes=0))
    first, second = (step for step in told.steps if step.what.code.startswith("run.step-print"))
    assert (second.start - first.end).total_seconds() == 30 * 60


def test_too_few_drying_places_slow_the_printing() -> None:
    one = plan(run(card("Boats", 10)))
    hours = WorkingHours(start=date(2026, 5, 4), print_minutes=3, touch_dry_minutes=30, drying_places=2)
    told = timetable(one.batches, [BatchSheets(10, 0, 0)], hours, Labour(rate=0, setup_minutes=0))
    (printing,) = (step for step in told.steps if step.what.code == "run.step-print")
    assert (printing.end - printing.start).total_seconds() == 10 * 15 * 60
    assert told.drying_places == 2


def test_a_calendar_without_end_is_refused() -> None:
    one = plan(run(card("Boats", 1_000_000)))
    hours = WorkingHours(start=date(2026, 5, 4), days=("mon",), print_minutes=600)
    with refused(BadRequest, "run.calendar-without-end"):
        timetable(one.batches, one.sheets, hours, None)


def test_the_batches_of_two_stocks_name_them() -> None:
    batches = plan(run(card("Boats", 10), card("Gulls", 10, stock=CRAFT))).batches
    assert [(batch.number, batch.stock, batch.printer) for batch in batches] == [
        (1, SATIN, TERN),
        (2, CRAFT, TERN),
    ]
