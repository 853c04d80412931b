"""Trials on a bench, with readings of where their prints fell."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.records import Placement, Printer, Reading, Stock, Trial, Uncertainty
from tackside.records.sheet_plan import Side
from tackside.sheet.plan import plan_sheet

BEGUN = datetime(2026, 1, 5, 12, tzinfo=UTC)


def keep_trial(
    bench: Bench,
    stock: Stock,
    printer: Printer,
    *placements: Placement | None,
    feed: str | None = None,
    side: Side = "front",
    borderless: bool | None = None,
) -> str:
    """A trial whose one print was read once for each placement; stock and printer lie on the bench in revision 1.

    ``borderless`` None takes what the fit says.
    """
    name = fit_stock(stock, printer, feed, side).feed
    entry = next(each for each in printer.feeds if each.name == name)
    trial_id = bench.trials.next_id(stock, printer, purpose="path", space="srgb", side=side, feed=entry.name)
    plan = plan_sheet(stock, printer, trial_id=trial_id, side=side, feed=entry)
    if borderless is not None:
        plan = plan.model_copy(update={"borderless": borderless})
    bench.trials.add(
        Trial(
            id=trial_id,
            stock=stock.name,
            stock_revision=1,
            printer=printer.name,
            printer_revision=1,
            feed=entry.name,
            side=side,
            sheet=plan,
            made_at=BEGUN,
        )
    )
    for count, placement in enumerate(placements):
        bench.readings.add(
            Reading(
                trial=trial_id,
                kind="scan",
                source_name="scan.tif",
                source_sha256="0" * 64,
                made_at=BEGUN + timedelta(days=count),
                patches=(),
                placement=placement,
                uncertainty=Uncertainty(de00=1, basis="invented", comparable_with="a"),
            )
        )
    return trial_id
