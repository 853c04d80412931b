"""Plan a run: card files, lists, stocks, printers and logs are looked up, and what it takes and costs worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.card.file.design import Card, load_card
from tackside.fit.full_fit import fit_in_full
from tackside.fit.mail.post_file import limits_for
from tackside.fit.placement.measured import UNKNOWN_PATH
from tackside.messages.message import Message
from tackside.records import Pack, Printer, Stock
from tackside.records.money import refuse_unknown
from tackside.run.ink.calibration import Calibration, calibrate
from tackside.run.ink.kept_tones import KeptTones
from tackside.run.money.costing import prices_for
from tackside.run.plan.batches import RunLine
from tackside.run.plan.lines import line_of
from tackside.run.plan.plan import RunPlan, plan_run
from tackside.run.plan.posting import Posting, postings, remarks
from tackside.run.plan.run_file import Run, RunCard
from tackside.run.plan.waste import Log
from tackside.tasks.cache import FOLDER
from tackside.workflow.placement import print_path


@dataclass(frozen=True)
class Gathered:
    """A run with its lines, the packs of all its stocks, its logs, and what must be said about them."""

    run: Run
    lines: tuple[RunLine, ...]
    packs: dict[str, Pack | None]
    logs: dict[tuple[str, str], Log]
    assumptions: tuple[Message, ...]
    post: tuple[Posting, ...]


def plan(bench: Bench, run: Run) -> RunPlan:
    """The plan of a run with what the bench knows. Raises BadRecord, NotFound, DoesNotFit, BadImage."""
    gathered = gather(bench, run)
    return plan_run(run, gathered.lines, gathered.packs, gathered.logs, gathered.assumptions, gathered.post)


def gather(bench: Bench, run: Run) -> Gathered:
    """Look everything up, once each; what is missing is refused before any ink is counted."""
    refuse_unknown(run.currency)
    found = [_looked_up(bench, run, card) for card in run.cards]
    stocks = list(dict.fromkeys([*(stock.name for _, stock, _ in found), *run.instead]))
    packs = {name: bench.stocks.get(name).pack for name in stocks}
    prices_for(run, packs, {printer.name for _, _, printer in found})
    tones = KeptTones(bench.folder / FOLDER / "ink")
    calibrations: dict[str, Calibration] = {}
    lines: list[RunLine] = []
    said: list[Message] = []
    for card, (design, stock, printer) in zip(run.cards, found, strict=True):
        if printer.name not in calibrations:
            calibrations[printer.name] = calibration_of(bench, printer.name)
        path = UNKNOWN_PATH if design is None else print_path(bench, stock, printer, corrected=True)
        line, remarks_of_card = line_of(
            run, card, design, stock, printer, calibrations[printer.name], path=path, tones=tones
        )
        lines.append(line)
        said += remarks_of_card
    used = {line.printer for line in lines if line.card.ink_ml is None}
    said += [calibrations[name].basis for name in sorted(used)]
    logs = {(line.stock, line.printer): log_of(bench, line.stock, line.printer) for line in lines}
    post = _post(bench, lines)
    said += remarks(run.postage, post) if run.postage else ()
    return Gathered(run, tuple(lines), packs, logs, tuple(said), post)


def _looked_up(bench: Bench, run: Run, card: RunCard) -> tuple[Card | None, Stock, Printer]:
    """A card's design, stock and printer. Raises BadRecord, NotFound."""
    design = load_card(run.folder / card.file) if card.file else None
    stock = bench.stocks.get(card.stock or (design.stock if design else ""))
    return design, stock, bench.printers.get(card.printer or (design.printer if design else ""))


def _post(bench: Bench, lines: Sequence[RunLine]) -> tuple[Posting, ...]:
    limits = limits_for(bench.folder)
    pairs = dict.fromkeys((line.stock, line.printer) for line in lines)
    return postings(
        fit_in_full(bench.stocks.get(stock), bench.printers.get(printer), post=limits)
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
