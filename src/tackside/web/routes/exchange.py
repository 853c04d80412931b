"""Handing a stock on: its whole record as an archive, and taking another tester's in."""

from __future__ import annotations

import re

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.errors import NotFound
from tackside.messages.message import Message
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.keys import name_of
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["stocks"])
KEEPS = ("mine", "theirs", "both")


@router.post("/stocks/{key}/hand-on", openapi_extra=documented())
def hand_on(request: Request, key: str, form: FormOf) -> Response:
    """Have the archive of a stock made: records, trials, readings, verdicts and their files."""
    workbench = workbench_of(request)
    name = workbench.bench.stocks.get(name_of(key)).name
    job = workbench.bench.jobs.add("hand-on", {"stock": name}, subject=name)
    workbench.runner.wake()
    return RedirectResponse(f"/jobs/{job.id}", status_code=303)


@router.get("/stocks/{key}/archive.zip", response_class=FileResponse)
def archive(request: Request, key: str) -> FileResponse:
    """The newest archive that was made of a stock. 404 while there is none."""
    bench, name = workbench_of(request).bench, name_of(key)
    for job in bench.jobs.list(subject=name, kind="hand-on", count=20):
        if job.state == "done" and job.result is not None:
            plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "stock"
            return FileResponse(
                bench.file(job.result["file"]), media_type="application/zip", filename=f"{plain}.zip"
            )
    raise NotFound("form.no-archive-yet", name=name)


@router.get("/take-in")
def ask(request: Request) -> Response:
    return page(request, "stocks/take_in.html", form=Filled({}))


@router.post("/take-in", openapi_extra=documented("keep", files=True))
def take_in(request: Request, form: FormOf) -> Response:
    """Take in an archive that another bench handed on."""
    workbench = workbench_of(request)
    if not form.files:
        fault = {"file": Message("form.no-archive")}
        return page(request, "stocks/take_in.html", status=422, form=Filled(form.typed(), fault))
    arrived = form.files[0]
    asked = {
        "sha256": workbench.bench.keep_file(arrived.path, arrived.name),
        "name": arrived.name,
        "keep": next((each for each in KEEPS if each == form.get("keep")), None),
    }
    job = workbench.bench.jobs.add("take-in", asked)
    workbench.runner.wake()
    return RedirectResponse(f"/jobs/{job.id}", status_code=303)
