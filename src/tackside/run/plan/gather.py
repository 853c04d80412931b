"""From a run file to lines whose facts are known: card files, lists, stocks, printers and logs are looked up."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from tackside.bench.store import Bench
from tackside.card.file.design import Card
from tackside.card.file.load import load_card
from tackside.card.series.rows import Rows, card_variables, personalised, read_rows
from tackside.errors import BadRecord
from tackside.files.toml_records import load_record
from tackside.fit.fit_stock import fit_stock
from tackside.fit.mail.post_file import limits_for
from tackside.records import Pack, Printer, Stock
from tackside.run.ink.calibration import Calibration, calibrate
from tackside.run.ink.coverage import coverage_of
from tackside.run.ink.row_coverage import RowsCoverage, coverage_of_rows
from tackside.run.money.money import digits
from tackside.run.plan.batches import Line
from tackside.run.plan.plan import RunPlan, plan_run
from tackside.run.plan.posting import Posting, postings, remarks
from tackside.run.plan.run_file import Run, RunCard
from tackside.run.plan.waste import Log

_CENT_ML = Decimal("0.01")


@dataclass(frozen=True)
class Gathered:
    """A run with its lines, the packs of all its stocks, its logs, and what must be said about them."""

    run: Run
    lines: tuple[Line, ...]
    packs: dict[str, Pack | None]
    logs: dict[tuple[str, str], Log]
    assumptions: tuple[str, ...]
    post: tuple[Posting, ...]


def load_run(path: Path | str) -> Run:
    """Read a run file. Raises BadRecord, naming the field."""
    path = Path(path)
    run = load_record(path, Run)
    if "folder" in run.model_fields_set:
        raise BadRecord(f"{path}: folder: unknown field", "remove it; files lie beside the run file")
    digits(run.currency)
    for card in run.cards:
        for file in filter(None, (card.file, card.recipients)):
            _refuse_outside(file, f"{path}: {card.name}")
    for file in run.labels.fonts:
        _refuse_outside(file, f"{path}: labels")
    return run.model_copy(update={"folder": path.parent})


def plan(run: Run, bench: Bench) -> RunPlan:
    """The plan of a run with what the bench knows. Raises BadRecord, NotFound, DoesNotFit, BadImage."""
    gathered = gather(run, bench)
    return plan_run(run, gathered.lines, gathered.packs, gathered.logs, gathered.assumptions, gathered.post)


def gather(run: Run, bench: Bench) -> Gathered:
    """Look everything up, once each."""
    calibrations: dict[str, Calibration] = {}
    lines: list[Line] = []
    said: list[str] = []
    for card in run.cards:
        line, warnings = _line(run, card, bench, calibrations)
        lines.append(line)
        said += [f"{card.name}: {warning}" for warning in warnings]
    stocks = list(dict.fromkeys([*(line.stock for line in lines), *run.instead]))
    used = {line.printer for line in lines if line.card.ink_ml is None}
    said += [f"{calibrations[name].basis}." for name in sorted(used)]
    logs = {(line.stock, line.printer): log_of(bench, line.stock, line.printer) for line in lines}
    post = _post(bench, lines)
    said += remarks(run.postage, post) if run.postage else ()
    packs = {name: bench.stocks.get(name).pack for name in stocks}
    return Gathered(run, tuple(lines), packs, logs, tuple(said), post)


def _post(bench: Bench, lines: Sequence[Line]) -> tuple[Posting, ...]:
    limits = limits_for(bench.folder)
    pairs = dict.fromkeys((line.stock, line.printer) for line in lines)
    return postings(
        fit_stock(bench.stocks.get(stock), bench.printers.get(printer), post=limits)
        for stock, printer in pairs
    )


def log_of(bench: Bench, stock: str, printer: str) -> Log:
    """What was counted of a stock on a printer so far."""
    log = Log()
    for _, _, kind, sheets in bench.runs.sheets(stock, printer):
        log = log.plus(
            Log(
                good=sheets if kind == "good" else 0,
                spoiled=sheets if kind == "spoiled" else 0,
                setups=(sheets,) if kind == "set-up" else (),
            )
        )
    return log


def calibration_of(bench: Bench, printer: str) -> Calibration:
    """The ink calibration of a printer, from its records on the bench."""
    changes = bench.runs.ink_changes(printer)
    tallies = bench.runs.tallies(printer=printer) if changes else ()
    return calibrate(printer, bench.printers.get(printer).inks.count, changes, tallies)


def _line(
    run: Run, card: RunCard, bench: Bench, calibrations: dict[str, Calibration]
) -> tuple[Line, tuple[str, ...]]:
    design = load_card(run.folder / card.file) if card.file else None
    stock = bench.stocks.get(card.stock or (design.stock if design else ""))
    printer = bench.printers.get(card.printer or (design.printer if design else ""))
    if printer.name not in calibrations:
        calibrations[printer.name] = calibration_of(bench, printer.name)
    rows = read_rows(run.folder / card.recipients) if card.recipients is not None else None
    counted: RowsCoverage | None = None
    if design is None:
        _refuse_unfed(fit_stock(stock, printer).feed, stock.name, printer.name)
    elif card.ink_ml is None or card.faces is None:
        counted = _counted(design, rows, stock, printer)
    elif rows is not None and card_variables(design):
        personalised(design, rows)  # says what the list lacks
    if card.ink_ml is not None:
        ml, doubt = Decimal(repr(card.ink_ml)), 0.0
    else:
        assert counted is not None
        known = calibrations[printer.name]
        ml = Decimal(repr(round(counted.mean.tones_m2 * known.ml_m2, 6)))
        doubt = min(known.doubt + counted.doubt, 1.0)
    line = Line(
        card=card,
        quantity=len(rows.rows) if rows else card.quantity or 0,
        stock=stock.name,
        printer=printer.name,
        faces=card.faces or (counted.mean.faces if counted else 1),
        ink_ml=ml.quantize(_CENT_ML),
        doubt=doubt,
        tones_m2=counted.mean.tones_m2 if counted else None,
        recipients=tuple(row.values for row in rows.rows) if rows else (),
    )
    if counted is None:
        return line, ()
    of_ink = (f"{counted.said}.",) if counted.said and card.ink_ml is None else ()
    return line, (*counted.mean.warnings, *of_ink)


def _counted(design: Card, rows: Rows | None, stock: Stock, printer: Printer) -> RowsCoverage:
    """What a card covers; of one that a list fills, over its rows."""
    if rows is None or not card_variables(design):
        return RowsCoverage(coverage_of(design, stock, printer), 0.0, "")
    personalised(design, rows)  # all of them, so that what the list lacks anywhere is told
    return coverage_of_rows(design, rows, stock, printer)


def _refuse_unfed(feed: str | None, stock: str, printer: str) -> None:
    if feed is None:
        raise BadRecord(f"{printer} cannot be fed with {stock}", "tackside fit says why, and what would do")


def _refuse_outside(file: str, where: str) -> None:
    """A run file may come from anybody; it must not reach for files elsewhere on the disk."""
    plain = os.path.normpath(file.replace("\\", "/"))
    if "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]:
        raise BadRecord(f'{where}: "{file}" leaves the folder of the run file', "copy it beside the run file")
