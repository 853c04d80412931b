"""``tackside run``: what many cards take, cost and bring; kept, counted, and sent to the printer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import App, Parameter

from tackside.bench.store import Bench
from tackside.cautions import PRINTING, PRINTING_AND_CUTTING, as_text
from tackside.cli.commands.runs.run_papers import LABEL_CAUTIONS, instructions, labels, picklist
from tackside.cli.commands.runs.run_send import cancel, jobs_told, send
from tackside.cli.confirm import agree
from tackside.cli.session import Outcome, bench_folder
from tackside.records.run import Counted

if TYPE_CHECKING:
    from tackside.run.plan.progress import Progress
    from tackside.workflow.runs.count import KeptCount, RunSoFar

app = App(
    name="run",
    help="Runs of cards: sheets, ink, cost, price, printing and counting.",
    help_format="plaintext",
)

app.command(picklist, help_epilogue=as_text(PRINTING_AND_CUTTING))
app.command(labels, help_epilogue=as_text(LABEL_CAUTIONS))
app.command(instructions, help_epilogue=as_text(PRINTING))
app.command(send, help_epilogue=as_text(PRINTING))
app.command(cancel)

RunFile = Annotated[Path, Parameter(help="The run file (TOML): cards, quantities, prices.")]
RunId = Annotated[str, Parameter(help="The run's id.")]
# What stands in the JSON for sheets of which nobody said what spoiled them.
UNEXPLAINED = "no reason given"
CountNumber = Annotated[int, Parameter(help="The count's number, as tackside run show lists it.")]
BatchNumber = Annotated[int, Parameter(help="The batch's number in the plan.")]


@app.command
def cost(file: RunFile) -> Outcome:
    """Calculate what a run takes and costs, and what to charge for a card. Nothing is kept."""
    from tackside.cli.views import run_page  # slow to import: for this command alone
    from tackside.run.plan.document import document
    from tackside.workflow.runs.keep import plan_file

    plan = plan_file(_bench(), file)
    return Outcome(document(plan), run_page.plan_page(plan))


@app.command
def keep(file: RunFile) -> Outcome:
    """Plan a run and keep it on the bench, so that sheets can be counted and sent."""
    from tackside.run.plan.document import document  # slow to import: for this command alone
    from tackside.workflow.runs.keep import keep_file

    kept = keep_file(_bench(), file)
    run = kept.run.id
    return Outcome(
        {"run": run, **document(kept.plan)},
        f"Kept as {run}. Count sheets: tackside run count {run} 1 --good 10",
    )


@app.command(name="list")
def list_() -> Outcome:
    """List all runs that were kept, and how far each is."""
    from tackside.cli.views import run_page  # slow to import: for this command alone
    from tackside.workflow.runs.count import all_so_far

    runs = all_so_far(_bench())
    text = run_page.runs_page(runs) if runs else "No run yet. Keep one: tackside run keep FILE.toml"
    listed = [
        {
            "run": each.run.id,
            "name": each.run.name,
            "made_at": each.run.made_at.isoformat(),
            "quantity": each.run.plan["quantity"],
            "ordered": each.ordered,
            "printed": each.printed,
            "good": each.good,
            "left": each.left,
        }
        for each in runs
    ]
    return Outcome({"runs": listed}, text)


@app.command
def show(run: RunId) -> Outcome:
    """Show how far a run is: printed, spoiled and why, left; the jobs that were sent, and each count.

    A printer that still has a job of it is asked how it stands.
    """
    from tackside.workflow.runs.count import run_so_far  # slow to import: for this command alone
    from tackside.workflow.runs.sent_jobs import jobs_of, settled

    bench = _bench()
    settled(bench, jobs_of(bench, run=bench.runs.get(run).id))
    return _progress(run_so_far(bench, run))


@app.command
def count(
    run: RunId,
    batch: BatchNumber,
    *,
    good: Annotated[int, Parameter(help="Good sheets that came out.")] = 0,
    spoiled: Annotated[int, Parameter(help="Spoiled sheets.")] = 0,
    setup: Annotated[int, Parameter(help="Sheets used to set up.")] = 0,
    why: Annotated[str | None, Parameter(help="What spoiled them, as: skewed, banding, head strike.")] = None,
    card: Annotated[str | None, Parameter(help="Which card of the batch it was.")] = None,
    yes: Annotated[
        bool, Parameter(negative=(), help="Count more good sheets than were ordered without asking.")
    ] = False,
) -> Outcome:
    """Count sheets at the printer. Later plans calculate spoilage and set-up from these counts."""
    from tackside.workflow.runs.count import (  # slow to import: for this one
        beyond_order,
        count_sheets,
        run_so_far,
    )

    bench = _bench()
    counted: dict[Counted, int] = {"good": good, "spoiled": spoiled, "set-up": setup}
    doubt = beyond_order(bench, run, batch, counted, card=card)
    if doubt is not None:
        agree(doubt, yes=yes)
    count_sheets(bench, run, batch, counted, why=why, card=card, beyond=doubt is not None)
    return _progress(run_so_far(bench, run))


@app.command
def withdraw(
    run: RunId,
    number: CountNumber,
    *,
    why: Annotated[str | None, Parameter(help="The reason, for the history.")] = None,
) -> Outcome:
    """Take back something that was counted. It stays in the history and is no longer summed."""
    from tackside.workflow.standing.withdraw import withdraw_count  # slow to import: for this command alone

    return _progress(withdraw_count(_bench(), run, number, why=why))


@app.command
def put_back(run: RunId, number: CountNumber) -> Outcome:
    """Put back a count that was withdrawn."""
    from tackside.workflow.standing.withdraw import withdraw_count  # slow to import: for this command alone

    return _progress(withdraw_count(_bench(), run, number, back=True))


@app.command
def ink(
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    changed: Annotated[
        list[str], Parameter(help="The ink that was empty, as cyan; or set, for all at once.")
    ],
    ml: Annotated[float, Parameter(help="Millilitres in the new cartridge (of the whole set for set).")],
) -> Outcome:
    """Note a cartridge that was empty and has been replaced. From two changes on, plans calculate ink from these."""
    from tackside.workflow.runs.count import change_ink  # slow to import: for this command alone

    name, known = change_ink(_bench(), printer, changed, ml)
    told = {
        "printer": name,
        "ml_m2": round(known.ml_m2, 3),
        "doubt": round(known.doubt, 3),
        "basis": str(known.basis),
        **known.basis.as_data(),
    }
    return Outcome(told, f"Noted. {known.basis}")


def _bench() -> Bench:
    return Bench.open(bench_folder(), create=False)


def _progress(found: RunSoFar) -> Outcome:
    from tackside.cli.views import run_page  # slow to import: for these commands alone

    kept = found.run
    told = {
        "run": kept.id,
        "name": kept.name,
        "batches": [_told(each) for each in found.batches],
        "jobs": jobs_told(found.jobs),
        "counts": [_counted(each) for each in found.counts],
    }
    return Outcome(told, run_page.progress_page(kept, found.batches, found.counts, found.jobs))


def _counted(each: KeptCount) -> dict[str, Any]:
    away = each.withdrawal
    return {
        "count": each.number,
        "batch": each.tally.batch,
        "kind": each.tally.kind,
        "sheets": each.tally.sheets,
        "card": each.tally.card,
        "why": each.tally.why,
        "made_at": each.tally.made_at.isoformat(),
        "withdrawn": away is not None,
        "withdrawn_why": None if away is None else away.why,
    }


def _told(each: Progress) -> dict[str, Any]:
    return {
        "batch": each.batch.number,
        "stock": each.batch.stock,
        "printer": each.batch.printer,
        "setting": each.batch.setting,
        "planned": each.batch.good,
        "printed": each.good,
        "spoiled": each.spoiled,
        "setup": each.setup,
        "left": each.left,
        "why": {**each.reasons, **({UNEXPLAINED: each.unexplained} if each.unexplained else {})},
    }
