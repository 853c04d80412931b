"""A bench with the demo's invented stocks, printed on the virtual press and read without a scanner's error."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from tackside.bench.store import Bench
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.records import PatchReading, Printer, Reading, Stock, Trial, Uncertainty
from tackside.records.sheet_plan import Purpose
from tackside.sheet.plan import plan_sheet
from tests.cli.bench_of_examples import EXAMPLES

MODELS: dict[str, StockModel] = {
    "harbour-satin-300": semi_gloss(),
    "fulmar-etching-310": cotton_etching(),
    "plover-matt-230": matt_coated(),
    "shingle-craft-250": craft_card(),
}
BEGUN = datetime(2026, 1, 5, 12, tzinfo=UTC)


def bench_of_readings(
    folder: Path,
    names: tuple[str, ...] = tuple(MODELS),
    purpose: Purpose = "device",
    key: str = "colorimetric",
) -> Bench:
    """A bench on which each named stock was printed once and read."""
    bench = Bench.open(folder)
    printer = Printer(**tomllib.loads((EXAMPLES / "tern-8.toml").read_text("utf-8")))
    bench.printers.add(printer)
    for name in names:
        stock = Stock(**tomllib.loads((EXAMPLES / f"{name}.toml").read_text("utf-8")))
        bench.stocks.add(stock)
        keep_reading(bench, stock, printer, MODELS[name], purpose, key)
    return bench


def keep_reading(
    bench: Bench,
    stock: Stock,
    printer: Printer,
    model: StockModel,
    purpose: Purpose,
    key: str,
    *,
    days: int = 0,
) -> Reading:
    """One more trial of a stock, and its reading: what the press would lay down for each patch."""
    space = None if purpose == "device" else "srgb"
    name = bench.trials.next_id(stock, printer, purpose=purpose, space=space, side="front", feed="rear")
    plan = plan_sheet(stock, printer, trial_id=name, purpose=purpose)
    when = BEGUN + timedelta(days=days)
    bench.trials.add(
        Trial(
            id=name,
            stock=stock.name,
            stock_revision=1,
            printer=printer.name,
            printer_revision=1,
            feed="rear",
            side="front",
            sheet=plan,
            made_at=when,
        )
    )
    printed = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, model, PrinterModel())
    lab = printed.lab_of(np.array([patch.rgb for patch in plan.patches]))
    return bench.readings.add(
        Reading(
            trial=name,
            kind="instrument",
            source_name=f"{name}.txt",
            source_sha256="0" * 64,
            made_at=when,
            patches=tuple(
                PatchReading(name=patch.name, rgb=patch.rgb, lab=(float(light), float(a), float(b)))
                for patch, (light, a, b) in zip(plan.patches, lab, strict=True)
            ),
            uncertainty=Uncertainty(de00=0.2, basis="an invented instrument", comparable_with=key),
        )
    )
