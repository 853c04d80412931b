"""``tackside run send``: sheets of a kept run to a printer that speaks IPP, after a confirmation."""

from __future__ import annotations

import sys
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE
from tackside.cli.confirm import confirm
from tackside.cli.session import Outcome, bench_folder
from tackside.messages.message import WITH_WORDS
from tackside.messages.wording import TERMINAL, documents
from tackside.records.money import said
from tackside.run.ipp.job import JobNews
from tackside.workflow.runs.send import Ready, SendWishes, make_ready
from tackside.workflow.runs.send import send as send_sheets

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

    What was actually requested is kept with the run. Afterwards count what came out: tackside run count.
    """
    bench = Bench.open(bench_folder(), create=False)
    wishes = SendWishes(face - 1, media_type, quality, intent)
    ready = make_ready(bench, run, batch, to, card=card, sheets=sheets, wishes=wishes)
    consignment, kept = ready.consignment, ready.run
    left_out = tuple(dict.fromkeys(each for ticket in consignment.tickets for each in ticket.left_out))
    confirm(_question(ready), yes=yes, cautions=CAUTIONS)
    jobs = send_sheets(bench, ready, _tell)
    told = [job.model_dump(mode="json", context=WITH_WORDS) for job in jobs]
    sent = sum(job.copies for job in jobs)
    count = f"tackside run count {kept.id} {batch} --good {sent}"
    text = f"Done: {sent} sheets sent to {consignment.printer.name}. Count the good ones: {count}"
    return Outcome(
        {
            "run": kept.id,
            "batch": batch,
            "sheets": sent,
            "jobs": told,
            "left_out": documents(left_out),
            "cautions": documents(CAUTIONS),
        },
        text,
        left_out,
    )


def _question(ready: Ready) -> str:
    """Printer, sheets and cost, and what the printer says is wrong."""
    consignment = ready.consignment
    wrong = (
        f"; the printer says: {', '.join(consignment.told.state_reasons)}"
        if consignment.told.state_reasons
        else ""
    )
    sheets = consignment.sheets
    return (
        f"{sheets} {'sheet' if sheets == 1 else 'sheets'} of {consignment.stock.name} to {consignment.printer.name} at "
        f"{consignment.uri}, about {said(ready.cost, ready.run.plan['currency'])} of card and ink{wrong}"
    )


def _tell(name: str, news: JobNews) -> None:
    reasons = [*news.reasons, *([TERMINAL.what(news.trouble)] if news.trouble else [])]
    why = f" ({', '.join(reasons)})" if reasons else ""
    print(f"tackside: {name}: {news.state}{why}", file=sys.stderr)
