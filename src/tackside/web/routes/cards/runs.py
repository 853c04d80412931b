"""Runs: what was planned and kept, and counting sheets at the printer, from a phone as well."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.errors import BadRequest, NotFound, Overtaken
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records.run import Counted, KeptRun, PrintJob
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import page, person_at
from tackside.web.views.cards.run import run_view
from tackside.web.views.cards.sending import sending_work
from tackside.web.workbench import workbench_of
from tackside.workflow.runs.asked import ASKED, asked_of
from tackside.workflow.runs.count import (
    KeptCount,
    RunSoFar,
    all_so_far,
    beyond_order,
    count_sheets,
    run_so_far,
)
from tackside.workflow.runs.sent_jobs import asking_nearby, jobs_of, settled
from tackside.workflow.standing.withdraw import withdraw_count

router = APIRouter(tags=["runs"])
KINDS: tuple[Counted, ...] = ("good", "spoiled", "set-up")
MOST_SHEETS = 100_000


@router.get("/runs")
def runs(request: Request) -> Response:
    """All runs that were kept, the newest first."""
    return page(request, "runs/list.html", runs=all_so_far(workbench_of(request).bench)[::-1])


@router.get("/runs/{run_id}")
def show(request: Request, run_id: str, printed: int | None = None, counted: str = "") -> Response:
    """One run: what it takes and costs, and how far it is.

    ``printed`` is a job whose sheets are to be counted, ``counted`` the numbers of what was counted just now, which can
    be taken back at once.
    """
    bench = workbench_of(request).bench
    jobs = settled(bench, jobs_of(bench, run=bench.runs.get(run_id).id), asking_nearby)
    done = next((each.job for each in jobs if each.number == printed and each.job.state == "completed"), None)
    return _shown(request, run_id, typed=_to_count(done) if done else None, counted=counted)


@router.post(
    "/runs/{run_id}/count", openapi_extra=documented("batch", *KINDS, "why", "card", "seen", "beyond")
)
def count(request: Request, run_id: str, form: FormOf) -> Response:
    """Count sheets at the printer. More good ones than were ordered are asked about first."""
    bench = workbench_of(request).bench
    run = bench.runs.get(run_id)
    try:
        batch = _whole(form, "batch")
        counted = {kind: _whole(form, kind) for kind in KINDS}
        beyond, card = form.get("beyond") == "yes", form.get("card") or None
        seen = _whole(form, "seen") if form.get("seen") else None
        doubt = None if beyond else beyond_order(bench, run_id, batch, counted, card=card, after=seen)
        if doubt is not None:
            return _shown(request, run.id or "", doubt=doubt, typed=form.typed(), status=422)
        count_sheets(
            bench, run_id, batch, counted, why=form.get("why")[:200] or None, card=card, after=seen, beyond=beyond
        )  # fmt: skip
    except (BadRequest, Overtaken) as error:
        status = status_of(error)
        return _shown(request, run.id or "", fault=error.message, typed=form.typed(), status=status)
    last = len(run_so_far(bench, run_id).counts)
    first = last + 1 - sum(1 for sheets in counted.values() if sheets)
    return RedirectResponse(f"/runs/{run.id}?counted={first}-{last}#batch-{batch}", status_code=303)


@router.post("/runs/{run_id}/undo", openapi_extra=documented("counted"))
def undo(request: Request, run_id: str, form: FormOf) -> Response:
    """Take back what was counted at once, by its numbers in the run; it stays in the history."""
    bench = workbench_of(request).bench
    counts = _just(run_so_far(bench, run_id), form.get("counted"))
    for each in counts:
        withdraw_count(bench, run_id, each.number)
    batch = f"#batch-{counts[0].tally.batch}" if counts else ""
    return RedirectResponse(f"/runs/{bench.runs.get(run_id).id}{batch}", status_code=303)


@router.post("/runs/{run_id}/counts/{number}/withdraw", openapi_extra=documented("why"))
def withdraw(request: Request, run_id: str, number: int, form: FormOf) -> Response:
    """Take back something that was counted; it stays in the history."""
    found = withdraw_count(workbench_of(request).bench, run_id, number, why=form.get("why"))
    return RedirectResponse(f"/runs/{found.run.id}#counts", status_code=303)


@router.post("/runs/{run_id}/counts/{number}/put-back", openapi_extra=documented())
def put_back(request: Request, run_id: str, number: int, form: FormOf) -> Response:
    """Put back a count that was withdrawn."""
    found = withdraw_count(workbench_of(request).bench, run_id, number, back=True)
    return RedirectResponse(f"/runs/{found.run.id}#counts", status_code=303)


@router.post("/runs/{run_id}/papers", openapi_extra=documented())
def write_papers(request: Request, run_id: str, form: FormOf) -> Response:
    """Have the papers of a run written."""
    workbench = workbench_of(request)
    run = workbench.bench.runs.get(run_id)
    asked_of(run)
    job = _papers(request, run)
    if job is None or not job.is_open:
        workbench.bench.jobs.add("run-papers", {"run": run.id}, subject=run.id or "")
        workbench.runner.wake()
    return RedirectResponse(f"/runs/{run.id}", status_code=303)


@router.get("/runs/{run_id}/papers/{name}", response_class=FileResponse)
def paper(request: Request, run_id: str, name: str) -> FileResponse:
    """Pick list, labels or instruction cards, as PDF."""
    bench = workbench_of(request).bench
    job = _papers(request, bench.runs.get(run_id))
    if job is None or job.result is None or name not in job.result["files"]:
        raise NotFound("run.paper-not-written")
    sha256 = job.result["files"][name]
    return FileResponse(bench.file(sha256), media_type="application/pdf", filename=bench.file_name(sha256))


@router.get("/runs/{run_id}/run.toml", response_class=FileResponse)
def run_file(request: Request, run_id: str) -> FileResponse:
    """The run's own file, as the command line reads it."""
    bench = workbench_of(request).bench
    run = bench.runs.get(run_id)
    return FileResponse(bench.file(run.file_sha256), media_type="application/toml", filename=run.file)


def _to_count(job: PrintJob) -> dict[str, str]:
    """The sheets of a job as a person would type them into the form of its batch."""
    return {"batch": str(job.batch), "good": str(job.copies)}


def _papers(request: Request, run: KeptRun) -> Job | None:
    """The newest job that wrote the run's papers, or is to."""
    jobs = workbench_of(request).bench.jobs.list(subject=run.id or "", kind="run-papers", count=10)
    return next((job for job in jobs if job.is_open or job.state in ("done", "failed")), None)


def _shown(
    request: Request,
    run_id: str,
    *,
    fault: Message | None = None,
    doubt: Message | None = None,
    typed: dict[str, str] | None = None,
    counted: str = "",
    status: int = 200,
) -> Response:
    so_far = run_so_far(workbench_of(request).bench, run_id)
    run = so_far.run
    view, papers = run_view(so_far, person_at(request)), _papers(request, run)
    warnings = papers.result.get("warnings", ()) if papers and papers.result else ()
    return page(
        request, "runs/show.html", status=status, view=view, fault=fault, doubt=doubt, typed=typed or {},
        just=_just(so_far, counted), counted=counted,
        papers=papers, label_warnings=[Message.of_data(each) for each in warnings],
        jobs=so_far.jobs, work=sending_work(workbench_of(request).bench, run.id or ""), run=run.id,
        base=f"/runs/{run.id}", planned_here=ASKED in run.plan, has_file=_holds(request, run.file_sha256),
    )  # fmt: skip


def _just(so_far: RunSoFar, numbers: str) -> list[KeptCount]:
    """The counts with these numbers, as ``3-4``, that still stand."""
    first, _, last = (
        part if part.isascii() and part.isdigit() else "" for part in numbers[:20].partition("-")
    )
    if not first or not last:
        return []
    between = range(int(first), int(last) + 1)
    return [each for each in so_far.counts if each.number in between and each.withdrawal is None]


def _holds(request: Request, sha256: str) -> bool:
    try:
        workbench_of(request).bench.file(sha256)
    except NotFound:
        return False
    return True


def _whole(form: Form, name: str) -> int:
    text = form.get(name)
    if not text:
        return 0
    if not (text.isascii() and text.isdigit()) or int(text[:12]) > MOST_SHEETS:
        place = Place("tally", (name,))
        raise BadRequest("run.not-a-count", place=place, field=place, typed=text[:20], most=MOST_SHEETS)
    return int(text)
