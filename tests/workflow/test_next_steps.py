"""One table of next steps: each has its command and its button, and no step leads nowhere."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from tackside.bench.store import Bench
from tackside.cli.views.onward import COMMANDS, command
from tackside.records import Printer, Stock
from tackside.records.verdict import Door
from tackside.web.i18n.preferences import person_of
from tackside.web.i18n.words import DOORS
from tackside.web.views.next_step import button
from tackside.workflow.leading.next_steps import AFTER, Act, Onward, steps_after

STOCK = Stock(name="Fulmar Matt 230", open_size_mm=(210, 297))
FEED = {"name": "rear", "min_size_mm": (89, 127), "max_size_mm": (329, 483)}
PRINTER = Printer.model_validate({"name": "Tern 8", "feeds": [FEED]})
EVERY = (*get_args(Door), *get_args(Act))


def test_each_step_has_a_command_and_a_button() -> None:
    assert set(COMMANDS) == set(DOORS) == set(EVERY)
    assert {step for steps in AFTER.values() for step in steps} <= set(EVERY)


@pytest.mark.parametrize("do", EVERY)
def test_a_step_is_worded_by_both_fronts(do: Door | Act) -> None:
    step = Onward(do, "Fulmar Matt 230", "Tern 8", "7QX2B0M4")
    assert command(step).startswith("tackside ")
    assert button(step, person_of({}, "en-GB")).href.startswith("/")


def test_a_gap_is_filled_first_and_the_only_name_is_taken_for_meant(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(STOCK)
    (first,) = steps_after("stock", bench, stock=STOCK.name)
    assert first.do == "describe-printer"
    bench.printers.add(PRINTER)
    (then,) = steps_after("stock", bench, stock=STOCK.name)
    assert command(then) == 'tackside fit "Fulmar Matt 230" "Tern 8"'
    (other,) = steps_after("printer", bench, printer="Tern 8")
    assert other == then
    (fitted,) = steps_after("fit", stock=STOCK.name, printer="Tern 8")
    assert command(fitted) == 'tackside sheet "Fulmar Matt 230" "Tern 8" --out sheet.tif'
