"""Scans of several prints at once: the tag on each sheet says which trial it is."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.errors import BadRequest, NotFound
from tackside.web.forms.received import FormOf, documented
from tackside.web.shell.pages import is_part, page
from tackside.web.workbench import workbench_of
from tackside.workflow.scanners import scanner_names
from tackside.workflow.scanning.scan import used_scanners

router = APIRouter(tags=["guided test"])


@router.get("/read")
def drop_them(request: Request, job: str = "") -> Response:
    """Where scans are dropped that are of several trials, or of one that nobody wants to look up."""
    workbench = workbench_of(request)
    try:
        shown = workbench.bench.jobs.get(job) if job else None
    except NotFound:
        shown = None
    return page(
        request, "guide/arrived.html", job=shown, trial=None, scanners=scanner_names(workbench.bench),
        watched=workbench.options.watched,
        used_scanner=next(iter(used_scanners(workbench.bench)), None),
    )  # fmt: skip


@router.post("/read", openapi_extra=documented("device", "scanner", files=True))
def take_them(request: Request, form: FormOf) -> Response:
    """Take scans in, and have each trial's read and judged."""
    workbench = workbench_of(request)
    bench = workbench.bench
    if not form.files:
        raise BadRequest("reading.no-file")
    kept = [{"sha256": bench.keep_file(each.path, each.name), "name": each.name} for each in form.files]
    job = bench.jobs.add(
        "arrived", {"files": kept, "device": form.get("device"), "scanner": form.get("scanner")}
    )
    workbench.runner.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(f"/read?job={job.id}", status_code=303)
