"""Reports: choose trials, see the page, have it made as HTML and PDF, take it away."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.jobs import Job
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.safety.policy import REPORT_POLICY
from tackside.web.shell.pages import is_part, page
from tackside.web.views.compare import MOST
from tackside.web.workbench import workbench_of
from tackside.workflow.report import HTML, ReportWishes, entry_of, report_on

router = APIRouter(tags=["reports"])
Trials = Annotated[list[str], Query(max_length=60)]
MOST_LETTERS = 300  # of a line that is typed
TypedLine = Annotated[str, Query(max_length=MOST_LETTERS)]


@router.get("/report")
def report(
    request: Request, query: ListQueryOf, trial: Trials = [], title: TypedLine = "", note: TypedLine = "",  # noqa: B006  FastAPI copies it
) -> Response:  # fmt: skip
    """Choose the trials; then title, note and the page itself."""
    bench = workbench_of(request).bench
    if trial and not is_part(request) and "choose" not in request.query_params:
        return _chosen(request, trial, title, note)
    asked = ListAsked(words=query.asked.words, stage="judged", sort=query.asked.sort, count=60)
    lines, total = bench.catalogue.trials(asked)
    template = "compare/_pick.html" if is_part(request) else "report/pick.html"
    made = [job for job in bench.jobs.list(kind="report", count=12) if job.result is not None]
    return page(
        request, template, lines=lines, total=total, query=query, chosen=trial, action="/report", made=made
    )


@router.post(
    "/report", openapi_extra=documented("trial", "title", "note", "licence", "pictures", "data", "short")
)
def make(request: Request, form: FormOf) -> Response:
    """Have the report made, with pictures of the prints and all data, as HTML and as a paged PDF."""
    workbench = workbench_of(request)
    title, note, licence = (form.get(name) for name in ("title", "note", "licence"))
    trials = list(dict.fromkeys(form.all("trial")))[:MOST]
    if not trials:
        raise BadRequest("report.no-trials")
    short = form.get("short") == "yes"
    if short and len(trials) != 1:
        fault = Message("report.short-on-several-trials")
        return _chosen(request, trials, title, note, faults={"short": fault}, typed=form.typed())
    too_long = [
        name
        for name, text in (("title", title), ("note", note), ("licence", licence))
        if len(text) > MOST_LETTERS
    ]
    if too_long:
        faults = dict.fromkeys(too_long, Message("report.text-too-long", most=MOST_LETTERS))
        return _chosen(
            request, trials, title[:MOST_LETTERS], note[:MOST_LETTERS], faults=faults, typed=form.typed()
        )
    for each in trials:
        entry_of(workbench.bench, each)
    asked = {
        "trials": trials, "title": title, "note": note, "licence": licence, "short": short,
        "pictures": form.get("pictures") == "yes", "data": form.get("data") == "yes",
    }  # fmt: skip
    job = workbench.bench.jobs.add("report", asked)
    workbench.runner.wake()
    return RedirectResponse(f"/reports/{job.id}", status_code=303)


@router.get("/reports/{job_id}")
def made(request: Request, job_id: str) -> Response:
    """A report as it was made, to be read and taken away; while it is made, how far it is."""
    return page(request, "report/made.html", job=_job(request, job_id))


@router.get("/reports/{job_id}/report.{suffix}")
def made_file(request: Request, job_id: str, suffix: str, save: bool = False) -> FileResponse:
    """The report itself, HTML or PDF; HTML is shown shut in, and runs nothing."""
    bench, job = workbench_of(request).bench, _job(request, job_id)
    if job.result is None or suffix not in job.result["files"]:
        raise NotFound("report.not-made")
    sha256 = job.result["files"][suffix]
    kind = "application/pdf" if suffix == "pdf" else "text/html; charset=utf-8"
    headers = {"content-security-policy": REPORT_POLICY, "x-frame-options": "SAMEORIGIN"}
    name = bench.file_name(sha256) if save or suffix == "pdf" else None
    return FileResponse(bench.file(sha256), media_type=kind, headers=headers, filename=name)


@router.get("/report/page.html")
def report_page(
    request: Request, trial: Trials = [], title: TypedLine = "", note: TypedLine = "", save: bool = False,  # noqa: B006
) -> Response:  # fmt: skip
    """The report itself: one page that needs nothing from outside."""
    bench = workbench_of(request).bench
    wishes = ReportWishes(title.strip() or None, note.strip() or None, pictures=False, data=False)
    made = report_on(bench, trial[:MOST], HTML, wishes)
    headers = {"content-security-policy": REPORT_POLICY, "x-frame-options": "SAMEORIGIN"}
    if save:
        name = re.sub(r"[^A-Za-z0-9]+", "-", title).strip("-").lower()[:60] or "report"
        headers["content-disposition"] = f'attachment; filename="{name}.html"'
    return Response(made, media_type="text/html; charset=utf-8", headers=headers)


def _job(request: Request, job_id: str) -> Job:
    job = workbench_of(request).bench.jobs.get(job_id)
    if job.kind != "report":
        raise NotFound("report.unknown")
    return job


def _chosen(
    request: Request, trials: list[str], title: str, note: str, *, faults: dict[str, Message] | None = None,
    typed: dict[str, str] | None = None,
) -> Response:  # fmt: skip
    bench = workbench_of(request).bench
    chosen = [bench.verdicts.standing(each).trial for each in dict.fromkeys(trials[:MOST])]
    values = {"pictures": "yes", "data": "yes"} if typed is None else typed
    return page(
        request, "report/report.html", status=422 if faults else 200, trials=chosen, title=title, note=note,
        asked=request.url.query, form=Filled(values, faults or {}),
    )  # fmt: skip
