"""``tackside run``: what many cards take, cost and bring; kept, counted, and sent to the printer."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

from tackside.bench.store import Bench
from tackside.cautions import as_text
from tackside.cli.commands.runs.run_papers import LABEL_CAUTIONS, instructions, labels, picklist
from tackside.cli.commands.runs.run_send import CAUTIONS as SEND_CAUTIONS
from tackside.cli.commands.runs.run_send import send
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts, run_page
from tackside.errors import BadRequest
from tackside.records.run import InkChange, KeptRun, Tally
from tackside.run.papers.papers import INSTRUCTION_CAUTIONS, PICK_LIST_CAUTIONS
from tackside.run.plan import gather
from tackside.run.plan.document import document, kept_batches
from tackside.run.plan.progress import Progress, progress_of, tally

app = App(name="run", help="Many cards: what they take, cost and bring.", help_format="plaintext")

app.command(picklist, help_epilogue=as_text(PICK_LIST_CAUTIONS))
app.command(labels, help_epilogue=as_text(LABEL_CAUTIONS))
app.command(instructions, help_epilogue=as_text(INSTRUCTION_CAUTIONS))
app.command(send, help_epilogue=as_text(SEND_CAUTIONS))

RunFile = Annotated[Path, Parameter(help="The run file (TOML): cards, quantities, prices.")]
RunId = Annotated[str, Parameter(help="The run's id.")]
BatchNumber = Annotated[int, Parameter(help="The batch's number in the plan.")]


@app.command
def cost(file: RunFile) -> Outcome:
    """Say what a run takes and costs, and what to ask for a card. Nothing is kept."""
    plan = gather.plan(gather.load_run(file), _bench())
    return Outcome(document(plan), run_page.plan_page(plan))


@app.command
def keep(file: RunFile) -> Outcome:
    """Plan a run and keep it on the bench, so that sheets can be counted and sent."""
    bench = _bench()
    plan = gather.plan(gather.load_run(file), bench)
    source = bench.keep_file(file)
    kept = bench.runs.add(
        KeptRun(
            name=plan.run.name,
            folder=str(file.resolve().parent),
            file=file.name,
            file_sha256=source,
            made_at=_now(),
            batches=kept_batches(plan),
            plan=document(plan),
        ),
        source,
    )
    return Outcome(
        {"run": kept.id, **document(plan)},
        f"Kept as {kept.id}. Count sheets: tackside run count {kept.id} 1 --good 10",
    )


@app.command(name="list")
def list_() -> Outcome:
    """List all runs that were kept."""
    runs = _bench().runs.list()
    rows = [(run.id or "", run.name, facts.day(run.made_at), str(run.plan["quantity"])) for run in runs]
    text = (
        facts.listing(("run", "name", "kept", "cards"), rows)
        if rows
        else "No run yet. Keep one: tackside run keep FILE.toml"
    )
    listed = [
        {
            "run": run.id,
            "name": run.name,
            "made_at": run.made_at.isoformat(),
            "quantity": run.plan["quantity"],
        }
        for run in runs
    ]
    return Outcome({"runs": listed}, text)


@app.command
def show(run: RunId) -> Outcome:
    """Show how far a run is: printed, spoiled and why, left; and the jobs that were sent."""
    bench = _bench()
    return _progress(bench, bench.runs.get(run))


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
) -> Outcome:
    """Count sheets at the printer. Spoilage and set-up of later plans are reckoned from what is counted here."""
    bench = _bench()
    kept = bench.runs.get(run)
    if min(good, spoiled, setup) < 0 or good + spoiled + setup == 0:
        raise BadRequest("nothing was counted", "give --good, --spoiled or --setup, 1 or more")
    now = _now()
    tallies: list[Tally] = []
    if good:
        tallies.append(tally(kept, batch, "good", good, made_at=now, card=card))
    if spoiled:
        tallies.append(tally(kept, batch, "spoiled", spoiled, made_at=now, card=card, why=why))
    if setup:
        tallies.append(tally(kept, batch, "set-up", setup, made_at=now, card=card))
    bench.runs.count(*tallies)
    return _progress(bench, kept)


@app.command
def ink(
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    changed: Annotated[
        list[str], Parameter(help="The ink that was empty, as cyan; or set, for all at once.")
    ],
    ml: Annotated[float, Parameter(help="Millilitres in the new cartridge (of the whole set for set).")],
) -> Outcome:
    """Note a cartridge that was empty and has been replaced. From two changes on, plans reckon ink from these."""
    bench = _bench()
    name = bench.printers.get(printer).name
    if not 0 < ml <= 100_000:
        raise BadRequest(f"a cartridge of {ml:g} ml cannot be", "give what the cartridge says, as --ml 14")
    if any(not 0 < len(each.strip()) <= 40 for each in changed):
        raise BadRequest("an ink without a name cannot be noted", "give --changed cyan")
    now = _now()
    bench.runs.change_ink(*(InkChange(printer=name, ink=each, ml=ml, made_at=now) for each in changed))
    known = gather.calibration_of(bench, name)
    told = {
        "printer": name,
        "ml_m2": round(known.ml_m2, 3),
        "doubt": round(known.doubt, 3),
        "basis": known.basis,
    }
    return Outcome(told, f"Noted. For {name}: {known.basis}.")


def _bench() -> Bench:
    return Bench.open(bench_folder(), create=False)


def _now() -> datetime:
    return datetime.now(UTC)


def _progress(bench: Bench, kept: KeptRun) -> Outcome:
    found = progress_of(kept, bench.runs.tallies(kept.id))
    jobs = [job.model_dump(mode="json") for job in bench.runs.jobs(kept.id)]
    told = {"run": kept.id, "name": kept.name, "batches": [_told(each) for each in found], "jobs": jobs}
    return Outcome(told, run_page.progress_page(kept, found))


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
        "why": each.reasons,
    }
