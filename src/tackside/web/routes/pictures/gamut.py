"""Gamut solids: a card's, a profile's or a working space's, another as a wireframe beside it, a picture's colours."""

from __future__ import annotations

import re
from dataclasses import asdict

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.errors import NotFound
from tackside.tasks.artifacts import place_of, read_prepared
from tackside.web.forms.queries.gamut_query import HASH, ROOM, GamutAsked
from tackside.web.forms.received import FormOf, documented
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.pictures.gamut import choices_of, gamut_view
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.prepared.gamut import FORM

router = APIRouter(tags=["gamuts"])
FILE_NAME = r"(one|other)(-inside)?\.bin|points\.bin"


@router.get("/gamut")
def gamut(
    request: Request, of: str = "srgb", against: str = "", picture: str = "", basis: str = ""
) -> Response:
    """A gamut to be turned by hand, with its figures. Without scripts: drawings."""
    workbench, person = workbench_of(request), person_at(request)
    asked = GamutAsked.checked(of, against, picture, basis)
    key = asked.key(workbench.bench)
    found = read_prepared(place_of(workbench.bench.folder / "cache", ROOM, key), FORM)
    choices = choices_of(workbench.bench, asked, person)
    view = None if found is None else gamut_view(found, f"/gamut/files/{key}", person)
    job = None if found is not None else _job(workbench, key)
    return page(request, "gamut/gamut.html", asked=asked, choices=choices, view=view, job=job)


@router.post("/gamut", openapi_extra=documented("of", "against", "picture", "basis"))
def prepare(request: Request, form: FormOf) -> Response:
    """Have a gamut readied to be turned, where it is not."""
    workbench = workbench_of(request)
    asked = GamutAsked.checked(form.get("of"), form.get("against"), form.get("picture"), form.get("basis"))
    key = asked.key(workbench.bench)
    job = _job(workbench, key)
    if job is None or not job.is_open:
        job = workbench.bench.jobs.add("gamut", asdict(asked), subject=key)
        workbench.runner.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(asked.address, status_code=303)


@router.get("/gamut/files/{key}/{name}", response_class=FileResponse)
def part(request: Request, key: str, name: str) -> FileResponse:
    """A surface, what lies inside it, or a picture's colours; by our own names alone."""
    if not re.fullmatch(HASH, key, re.ASCII) or not re.fullmatch(FILE_NAME, name, re.ASCII):
        raise NotFound("gamut.no-part")
    file = place_of(workbench_of(request).bench.folder / "cache", ROOM, key) / name
    if not file.is_file():
        raise NotFound("gamut.part-not-prepared")
    packed = {"content-encoding": "gzip"} if name.endswith("-inside.bin") else {}
    return FileResponse(file, media_type="application/octet-stream", headers={**KEEP, **packed})


def _job(workbench: Workbench, key: str) -> Job | None:
    """The newest job of this gamut, if it is at work or came to nothing."""
    found = workbench.bench.jobs.list(subject=key, kind="gamut", count=1)
    return next((job for job in found if job.is_open or job.state == "failed"), None)
