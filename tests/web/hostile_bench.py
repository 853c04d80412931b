"""A bench whose every text is hostile: markup, signs that mean something in an address, and a formula."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.records import Printer, Settings, Stock, Trial
from tackside.records.run import Tally
from tackside.sheet.plan import plan_sheet
from tests.web.card_bench import add_card
from tests.web.workshop import NOON, SATIN, TERN, add_reading, add_run, add_scan, add_verdict

# An element that no page has, within what ends attributes, elements and quotes. (No digits after the %: the client of
# the tests undoes percent-encoding twice, which no server does.)
ELEMENT, ATTRIBUTE = "tk-mark", "tk-held"
HOSTILE = f"=1+2'\"><{ELEMENT} {ATTRIBUTE}=1>&amp;#?% {{{{7**5}}}}/../é"
# What leads to another record, or is named by its content.
_KEPT = re.compile(
    r"^(id|trial|run|sheet|patches|plan|toml|made_at|asked|made_with|way|uri|document)$|sha256"
)

Held = TypeVar("Held", bound=BaseModel)


def hostile(record: Held) -> Held:
    """The record with every free text in it hostile: whatever the record's own check lets pass."""
    for name in type(record).model_fields:
        if _KEPT.search(name):
            continue
        changed = _changed(getattr(record, name))
        try:
            record = type(record).model_validate(dict(record) | {name: changed})
        except ValidationError:
            continue
    return record


def _changed(value: Any) -> Any:
    if isinstance(value, BaseModel):
        return hostile(value)
    if isinstance(value, tuple):
        return tuple(_changed(each) for each in value) or (HOSTILE,)
    return HOSTILE if isinstance(value, str) or value is None else value


def hostile_bench(folder: Path) -> Bench:
    """Two judged trials and one that waits, of one stock and one printer; a card and a run: all called alike."""
    bench = Bench.open(folder)
    stock, printer = hostile(SATIN), hostile(TERN)
    assert stock.name == printer.name == printer.feeds[0].name == stock.notes == HOSTILE
    bench.stocks.add(stock)
    bench.printers.add(printer)
    for black_l in (6.0, 31.0):
        trial = _trial(bench, stock, printer)
        reading = add_reading(bench, trial, black_l, device=HOSTILE, source=add_scan(bench, trial))
        add_verdict(bench, trial, reading)
    _trial(bench, stock, printer)
    _run(bench)
    add_card(bench, HOSTILE, HOSTILE, name=HOSTILE)
    return bench


def _trial(bench: Bench, stock: Stock, printer: Printer) -> Trial:
    fit = fit_stock(stock, printer)
    made = bench.trials.next_id(
        stock, printer, purpose="path", space="srgb", side="front", feed=fit.feed or ""
    )
    return bench.trials.add(
        Trial(
            id=made, stock=stock.name, stock_revision=1, printer=printer.name, printer_revision=1, feed=fit.feed or "",
            side="front", settings=hostile(Settings()), sheet=plan_sheet(stock, printer, trial_id=made, ppi=300),
            made_at=NOON,
        )
    )  # fmt: skip


def _run(bench: Bench) -> None:
    kept = bench.runs.get(add_run(bench))
    plan = kept.plan | {"assumptions": [HOSTILE], "stocks": [kept.plan["stocks"][0] | {"name": HOSTILE}]}
    batch = kept.batches[0].model_copy(
        update={"printer": HOSTILE, "stock": HOSTILE, "setting": HOSTILE, "cards": ((HOSTILE, 40),)}
    )
    run = bench.runs.add(
        hostile(kept).model_copy(
            update={"id": None, "plan": plan, "batches": (batch,), "made_at": NOON + timedelta(days=1)}
        )
    )
    tally = Tally(
        run=run.id or "", batch=1, stock=HOSTILE, printer=HOSTILE, kind="spoiled", sheets=1, card=HOSTILE, why=HOSTILE,
        made_at=NOON,
    )  # fmt: skip
    bench.runs.count(tally)
