"""``tackside run send``: sheets of a kept run to a printer that speaks IPP, after a confirmation."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import PRINTING
from tackside.cli.confirm import confirm
from tackside.cli.session import Outcome, bench_folder
from tackside.messages.message import WITH_WORDS
from tackside.messages.wording import TERMINAL, document, documents
from tackside.records.money import said
from tackside.records.run import PrintJob

if TYPE_CHECKING:
    from tackside.run.ipp.job import JobNews
    from tackside.workflow.runs.send import Ready
    from tackside.workflow.runs.sent_jobs import SentJob


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

    What the printer can't be asked is said before the question. Ctrl-C asks whether to cancel the job at the printer;
    later, tackside run cancel does. What was actually requested is kept with the run. Afterwards count what came out:
    tackside run count.
    """
    from tackside.workflow.runs.send import SendWishes, make_ready  # slow to import: for this command alone

    bench = Bench.open(bench_folder(), create=False)
    wishes = SendWishes(face - 1, media_type, quality, intent)
    kept = bench.runs.get(run)
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        ready = make_ready(
            bench, run, batch, to, card=card, sheets=sheets, wishes=wishes, folder=Path(folder)
        )
        consignment, left_out = ready.consignment, ready.left_out
        jobs = deliver(bench, ready, yes=yes)
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
            "cautions": documents(PRINTING),
        },
        text,
    )


def deliver(bench: Bench, ready: Ready, *, yes: bool) -> tuple[PrintJob, ...]:
    """Ask whether to send, then send and follow; Ctrl-C asks whether to cancel. Raises what either raises."""
    from tackside.cli.stop_on_ctrl_c import StopOnCtrlC  # slow to import: for this command alone
    from tackside.workflow.runs.send import send as send_sheets

    # The printer starts: the cautions are read before anyone says yes.
    confirm(_question(ready), yes=yes, cautions=PRINTING, warnings=ready.left_out)
    with StopOnCtrlC("" if ready.run is None else ready.run.id or "") as stop:
        return send_sheets(bench, ready, _tell, stop)


def delivered(ready: Ready, jobs: Sequence[PrintJob], what: dict[str, str]) -> Outcome:
    """What came of sheets that belong to no run: ``what`` names them in the document."""
    sent, printer = sum(job.copies for job in jobs), ready.consignment.printer.name
    told = [job.model_dump(mode="json", context=WITH_WORDS) for job in jobs]
    return Outcome(
        {
            **what,
            "sheets": sent,
            "jobs": told,
            "left_out": documents(ready.left_out),
            "cautions": documents(PRINTING),
        },
        f"Done: {sent} {'sheet' if sent == 1 else 'sheets'} sent to {printer}.",
    )


def _question(ready: Ready) -> str:
    """Printer, sheets and cost, and what the printer says is wrong."""
    consignment = ready.consignment
    wrong = (
        f"; the printer says: {', '.join(consignment.told.state_reasons)}"
        if consignment.told.state_reasons
        else ""
    )
    cost = (
        ""
        if ready.cost is None or ready.run is None
        else f", about {said(ready.cost, ready.run.plan['currency'])} of card and ink"
    )
    sheets = consignment.sheets
    side = "" if consignment.printed_on is None else f", printed on its {consignment.printed_on},"
    return (
        f"{sheets} {'sheet' if sheets == 1 else 'sheets'} of {consignment.stock.name}{side} to "
        f"{consignment.printer.name} at {consignment.uri}{cost}{wrong}"
    )


def _tell(name: str, news: JobNews) -> None:
    reasons = [*news.reasons, *([TERMINAL.what(news.trouble)] if news.trouble else [])]
    why = f" ({', '.join(reasons)})" if reasons else ""
    print(f"tackside: {name}: {news.state}{why}", file=sys.stderr)


def cancel(
    run: Annotated[str, Parameter(help="The run's id.")],
    *,
    job: Annotated[
        int | None, Parameter(help="One job only, by the number that tackside run show lists.")
    ] = None,
) -> Outcome:
    """Cancel the jobs of a run that are still at a printer (IPP), and keep how they ended."""
    from tackside.workflow.runs.sent_jobs import cancel_jobs  # slow to import: for this command alone

    bench = Bench.open(bench_folder(), create=False)
    found = cancel_jobs(bench, run, job)
    kept = bench.runs.get(run)
    lines = [f"Job {each.number}, {each.job.document}: {each.job.state}." for each in found]
    to_do = dict.fromkeys(str(each.to_do) for each in found if each.to_do is not None)
    return Outcome({"run": kept.id, "jobs": jobs_told(found)}, "\n".join((*lines, *to_do)))


def jobs_told(jobs: Sequence[SentJob]) -> list[dict[str, Any]]:
    """Jobs as the JSON of a run holds them."""
    return [
        {
            **each.job.model_dump(mode="json", context=WITH_WORDS),
            "number": each.number,
            "to_do": None if each.to_do is None else document(each.to_do),
        }
        for each in jobs
    ]
