"""``tackside run send``: sheets of a kept run to a printer that speaks IPP, after a confirmation."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from decimal import Decimal
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE, as_data
from tackside.cli.confirm import confirm
from tackside.cli.session import Outcome, bench_folder
from tackside.errors import PrinterTrouble
from tackside.records.run import KeptBatch, KeptRun, PrintJob
from tackside.run.ipp.client import Connection
from tackside.run.ipp.job import JobNews, ask_printer
from tackside.run.ipp.sending import Consignment, consign, send_all
from tackside.run.money.money import said
from tackside.run.plan.parcels import parcels_of, run_of
from tackside.run.plan.progress import batch_of

# The printer starts: these are read before anyone says yes.
CAUTIONS = (HEAD_STRIKE, DAMP_FINGERS)


def send(
    run: Annotated[str, Parameter(help="The run's id.")],
    batch: Annotated[int, Parameter(help="The batch's number in the plan.")],
    *,
    to: Annotated[str, Parameter(help="The printer's address, as ipp://printer.local/ipp/print.")],
    card: Annotated[str | None, Parameter(help="One card of the batch only.")] = None,
    sheets: Annotated[int | None, Parameter(help="How many sheets; by default all that are left.")] = None,
    face: Annotated[int, Parameter(help="Which face: 1 the outside, 2 the other once the first is dry.")] = 1,
    media_type: Annotated[str | None, Parameter(help="The paper type, in the printer's own word.")] = None,
    quality: Annotated[Literal["draft", "normal", "high"], Parameter(help="Print quality.")] = "high",
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"], Parameter(help="Rendering intent.")
    ] = "relative",
    yes: Annotated[bool, Parameter(negative=(), help="Send without asking, for scripts.")] = False,
) -> Outcome:
    """Send sheets to the printer, at true size and without scaling, and follow them to the end.

    What was really asked is kept with the run. Count what came out afterwards: tackside run count.
    """
    bench = Bench.open(bench_folder(), create=False)
    kept = bench.runs.get(run)
    found = batch_of(kept, batch)
    parcels = parcels_of(
        run_of(kept),
        found,
        bench.runs.tallies(kept.id),
        bench.runs.jobs(kept.id),
        card=card,
        sheets=sheets,
    )
    connection = Connection(to)
    consignment = consign(
        kept.id or run,
        batch,
        bench.stocks.get(found.stock),
        bench.printers.get(found.printer),
        to,
        ask_printer(connection),
        parcels,
        face=face - 1,
        media_type=media_type,
        quality=quality,
        intent=intent,
    )
    left_out = tuple(dict.fromkeys(each for ticket in consignment.tickets for each in ticket.left_out))
    confirm(_question(kept, consignment), yes=yes, cautions=CAUTIONS)
    jobs = list(send_all(consignment, bench, connection, _now, _tell))
    _refuse_unfinished(jobs, kept, found)
    told = [job.model_dump(mode="json") for job in jobs]
    sent = sum(job.copies for job in jobs)
    count = f"tackside run count {kept.id} {batch} --good {sent}"
    text = f"Done: {sent} sheets sent to {consignment.printer.name}. Count the good ones: {count}"
    return Outcome(
        {
            "run": kept.id,
            "batch": batch,
            "sheets": sent,
            "jobs": told,
            "left_out": list(left_out),
            "cautions": as_data(CAUTIONS),
        },
        text,
        left_out,
    )


def _question(kept: KeptRun, consignment: Consignment) -> str:
    """Printer, sheets and cost, and what the printer says is wrong."""
    costs = {
        line["name"]: Decimal(line["sheet_cost"]) for batch in kept.plan["batches"] for line in batch["cards"]
    }
    money = sum(
        (parcel.copies * costs[parcel.name.rsplit(", row ", 1)[0]] for parcel in consignment.parcels),
        Decimal(0),
    )
    wrong = (
        f"; the printer says: {', '.join(consignment.told.state_reasons)}"
        if consignment.told.state_reasons
        else ""
    )
    sheets = consignment.sheets
    return (
        f"{sheets} {'sheet' if sheets == 1 else 'sheets'} of {consignment.stock.name} to {consignment.printer.name} at "
        f"{consignment.uri}, about {said(money, kept.plan['currency'])} of card and ink{wrong}"
    )


def _tell(name: str, news: JobNews) -> None:
    why = f" ({', '.join(news.reasons)})" if news.reasons else ""
    print(f"tackside: {name}: {news.state}{why}", file=sys.stderr)


def _refuse_unfinished(jobs: list[PrintJob], kept: KeptRun, batch: KeptBatch) -> None:
    last = jobs[-1]
    if last.state == "completed":
        return
    why = f" ({', '.join(last.reasons)})" if last.reasons else ""
    done = sum(job.copies for job in jobs if job.state == "completed")
    words = {
        "lost": "is no longer heard of",
        "aborted": "was given up by the printer",
        "canceled": "was cancelled",
    }
    raise PrinterTrouble(
        f"the job {last.job_id} for {last.document} {words.get(last.state, last.state)}{why}, "
        f"{done} sheets before it are done",
        f"see to the printer, count what came out (tackside run count {kept.id} {batch.number}), then send again",
    )


def _now() -> datetime:
    return datetime.now(UTC)
