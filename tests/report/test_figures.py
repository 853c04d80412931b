"""Figures are rounded to what their uncertainty bears, and facts are complete or said to be missing."""

from __future__ import annotations

import pytest

from tackside.records import Stock
from tackside.report import facts
from tackside.report.figures import ABSENT, figure, measure_tables
from tackside.report.ranking import groups_of
from tests.report.invented import entry, four

THIN, MINUS = "\u202f", "\u2212"


@pytest.mark.parametrize(
    ("value", "sd", "said"),
    [
        (6.0437, 0.71, ("6.0", "0.7")),
        (720_900.0, 21_627.0, (f"720{THIN}000", f"20{THIN}000")),
        (1.6583, 0.014, ("1.658", "0.014")),
        (-0.04, 0.6, ("0.0", "0.6")),
        (-12.34, 0.6, (f"{MINUS}12.3", "0.6")),
        (89.0, None, ("89", "")),
        (0.41, None, ("0.410", "")),
        (5.0, 0.0, ("5", "")),
        (0.9942, 0.00004, ("0.994", "0.001")),
    ],
)
def test_rounding(value: float, sd: float | None, said: tuple[str, str]) -> None:
    assert figure(value, sd) == said


@pytest.mark.parametrize(
    ("value", "sd", "unit", "said"),
    [
        (137.649, 0.004, "µm", ("138", "1")),
        (1.88, 0.10, "µm", ("2", "1")),
        (127.3, 14.2, "µm", ("127", "14")),
        (0.2612, 0.0003, "mm", ("0.26", "0.01")),
        (21.6, None, "µm", ("22", "")),
    ],
)
def test_a_length_is_said_to_what_a_scan_can_tell(
    value: float, sd: float | None, unit: str, said: tuple[str, str]
) -> None:
    assert figure(value, sd, unit) == said


def test_more_than_five_trials_are_spread_evenly_over_tables() -> None:
    entries = [entry(f"Stock {n}", trial_id=str(n)) for n in range(6)]
    (group,) = groups_of(entries)
    tables = measure_tables(group.ranked)
    assert [len(table.columns) for table in tables if table.caption == "Main measures"] == [3, 3]


def test_a_measure_that_one_trial_lacks_is_said_to_be_missing() -> None:
    entries = four()
    less = entries[1].verdict.model_copy(update={"measures": {}})
    entries[1] = type(entries[1])(**{**entries[1].__dict__, "verdict": less})
    (group,) = groups_of(entries)
    table = measure_tables(group.ranked)[0]
    column = [one.label for one in group.ranked].index(entries[1].stock.name)
    assert all(row.cells[column].value == ABSENT for row in table.rows)


def test_what_nobody_noted_is_said() -> None:
    bare = entry(stock=Stock(name="Bare", open_size_mm=(210, 297)), name="Bare")
    said = {fact.name: fact.value for fact in facts.card(bare)}
    assert said["Weight"] == facts.NOT_NOTED
    assert said["Price a sheet"] == facts.NOT_NOTED
    assert {fact.name: fact.value for fact in facts.settings(bare)}["Lamp"] == facts.NOT_NOTED
