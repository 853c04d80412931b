"""Work in the background: the list, one job, stopping it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.web.forms.received import FormOf, documented
from tackside.web.jobs.engine.results import href_of
from tackside.web.shell.pages import is_part, page
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["jobs"])


@router.get("/jobs")
def jobs(request: Request) -> Response:
    """What is at work, and what was done."""
    template = "jobs/_lines.html" if is_part(request) else "jobs/list.html"
    return page(request, template, jobs=workbench_of(request).bench.jobs.list(count=60))


@router.get("/jobs/{job_id}")
def job(request: Request, job_id: str, then: bool = False) -> Response:
    """How far a job is. ``then`` sends the browser on to the result once it is there."""
    found = workbench_of(request).bench.jobs.get(job_id)
    if not is_part(request):
        return page(request, "jobs/show.html", job=found)
    answer = page(request, "jobs/_job.html", job=found, then=then)
    href = href_of(found)
    if then and found.state == "done" and href is not None:
        answer.headers["hx-redirect"] = href
    return answer


@router.post("/jobs/{job_id}/cancel", openapi_extra=documented())
def cancel(request: Request, job_id: str, form: FormOf) -> Response:
    """Ask that a job be stopped. What it had finished before is kept."""
    workbench = workbench_of(request)
    found = workbench.bench.jobs.cancel(job_id)
    workbench.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=found, then=False)
    return RedirectResponse("/jobs", status_code=303)
