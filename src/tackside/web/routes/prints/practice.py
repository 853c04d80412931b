"""Practice: a sheet printed and scanned by the virtual press, read and judged as usual, and then the truth."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.web.forms.received import FormOf, documented
from tackside.web.i18n import words
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of
from tackside.workflow.practice.practise import begin_practice, faults_of_trial, reveal, revealed

router = APIRouter(tags=["practice"])
SHOWN = 40


@router.get("/practice")
def practice(request: Request, trial: str = "") -> Response:
    """What practice is, the trials whose sheets may be printed, and the practice there is."""
    bench = workbench_of(request).bench
    sheets, _ = bench.catalogue.trials(ListAsked(count=SHOWN, total=False))
    lines, _ = bench.catalogue.trials(ListAsked(practice=True, count=SHOWN, total=False))
    return page(request, "practice/list.html", sheets=sheets, lines=lines, chosen=trial, faults=words.CAUSES)


@router.post("/practice", openapi_extra=documented("trial", "fault"))
def begin(request: Request, form: FormOf) -> Response:
    """A practice trial of a trial's sheet, printed and scanned in the background. No fault named: a hidden one."""
    workbench = workbench_of(request)
    made, _ = begin_practice(workbench.bench, form.get("trial"), fault=form.get("fault") or None)
    workbench.bench.jobs.add("practice", {"trial": made.id}, subject=made.id)
    workbench.runner.wake()
    return RedirectResponse(f"/practice/{made.id}", status_code=303)


@router.get("/practice/{trial_id}")
def show(request: Request, trial_id: str) -> Response:
    """One practice print: its scan, the way to its verdict, the guess, and the truth once it is revealed."""
    bench = workbench_of(request).bench
    printed = bench.practice.get(trial_id)
    trial = bench.trials.get(printed.trial)
    faults = faults_of_trial(bench, trial.id)
    return page(
        request, "practice/show.html", trial=trial, of=printed.of, job=_job(bench, trial.id),
        read=bool(bench.readings.list(trial.id)), revealed=revealed(bench, trial.id), causes=words.CAUSES,
        told=None if printed.hidden else printed.fault,
        faults={fault: words.CAUSES[fault] for fault in faults},
    )  # fmt: skip


@router.get("/practice/{trial_id}/scan-{number}.tif", response_class=FileResponse)
def scan(request: Request, trial_id: str, number: int) -> FileResponse:
    """The scan of a page, from 1. 404 while it is not printed."""
    bench = workbench_of(request).bench
    files = _files(bench, trial_id)
    if not 1 <= number <= len(files):
        raise NotFound("practice.not-printed-yet", trial=trial_id)
    one = files[number - 1]
    return FileResponse(bench.file(one["sha256"]), media_type="image/tiff", filename=one["name"])


@router.post("/practice/{trial_id}/read", openapi_extra=documented())
def read(request: Request, trial_id: str, form: FormOf) -> Response:
    """Read and judge the scan, as one that came from a scanner."""
    workbench = workbench_of(request)
    bench = workbench.bench
    trial = bench.trials.get(trial_id)
    files = _files(bench, trial.id)
    if not files:
        raise BadRequest("practice.not-printed-yet", trial=trial.id)
    bench.jobs.add("read", {"trial": trial.id, "files": files, "device": "", "scanner": ""}, subject=trial.id)
    workbench.runner.wake()
    return RedirectResponse(f"/trials/{trial.id}/read", status_code=303)


@router.post("/practice/{trial_id}/reveal", openapi_extra=documented("guess"))
def tell(request: Request, trial_id: str, form: FormOf) -> Response:
    """Keep the guess and show the truth."""
    found = reveal(workbench_of(request).bench, trial_id, form.get("guess") or None)
    return RedirectResponse(f"/practice/{found.trial}#truth", status_code=303)


def _job(bench: Bench, trial: str) -> Job | None:
    return next(iter(bench.jobs.list(subject=trial, kind="practice", count=1)), None)


def _files(bench: Bench, trial: str) -> list[dict[str, str]]:
    """The scans of a practice print that the job has kept; none while it is at work."""
    done = (job for job in bench.jobs.list(subject=trial, kind="practice", count=20) if job.state == "done")
    job = next(done, None)
    return [] if job is None or job.result is None else list(job.result["files"])
