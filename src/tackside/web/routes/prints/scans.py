"""Scans to be looked at: tiles down to the pixel, the whole, thumbnails. All are files that a worker wrote."""

from __future__ import annotations

import re
from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.errors import NotFound
from tackside.messages.message import CODE
from tackside.web.forms.received import FormOf, documented
from tackside.web.shell.pages import is_part, page
from tackside.web.views.scan import sources_of
from tackside.web.views.thumbnail import thumbnail_of
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.prepared.scan_view import place_of
from tackside.workflow.prepared.spoilt import picture_in

router = APIRouter(tags=["scans"])
KEEP = {"cache-control": "private, max-age=31536000, immutable"}


@router.get("/trials/{trial_id}/scans/{sha256}/tiles/{level}/{column}/{row}.jpg", response_class=FileResponse)
def tile(request: Request, trial_id: str, sha256: str, level: int, column: int, row: int) -> FileResponse:
    """One tile of a scan, sRGB. Level 0 is the whole in one pixel; each further level has twice the pixels."""
    place = _place(workbench_of(request), trial_id, sha256)
    if not (0 <= level < 32 and 0 <= column < 4096 and 0 <= row < 4096):
        raise NotFound("the scan has no such tile", "look at the scan's page")
    return _served(place / "tiles_files" / str(level) / f"{column}_{row}.jpg")


@router.get("/trials/{trial_id}/scans/{sha256}/whole.jpg", response_class=FileResponse)
def whole(request: Request, trial_id: str, sha256: str) -> FileResponse:
    """The whole scan, 1600 pixels at most."""
    return _served(_place(workbench_of(request), trial_id, sha256) / "whole.jpg")


@router.get("/trials/{trial_id}/scans/{sha256}/spoilt/{code}.png", response_class=FileResponse)
def spoilt(request: Request, trial_id: str, sha256: str, code: str) -> FileResponse:
    """Where the scan shows that a program changed it: the picture of what the message with this code tells of."""
    place = _place(workbench_of(request), trial_id, sha256)
    if not CODE.fullmatch(code):
        raise NotFound("the scan has no such picture", "look at the scan's page")
    return _served(picture_in(place, code), "image/png")


@router.post("/trials/{trial_id}/scans/{sha256}/prepare", openapi_extra=documented())
def prepare(request: Request, trial_id: str, sha256: str, form: FormOf) -> Response:
    """Have a scan prepared to be looked at, where it is not."""
    workbench = workbench_of(request)
    bench = workbench.bench
    trial = bench.trials.get(trial_id)
    readings = bench.readings.list(trial.id, withdrawn=True)
    sources = {each.sha256 for reading in readings for each in sources_of(reading)}
    if sha256 not in sources:
        raise NotFound("that file belongs to no reading of this trial", "see the trial's page")
    bench.file(sha256)
    waiting = bench.jobs.list(subject=trial.id, kind="view", is_open=True, count=20)
    job = next((each for each in waiting if each.asked.get("sha256") == sha256), None)
    if job is None:
        job = bench.jobs.add("view", {"trial": trial.id, "sha256": sha256}, subject=trial.id)
        workbench.runner.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(f"/trials/{trial.id}", status_code=303)


@router.get("/trials/{trial_id}/thumbnail")
def thumbnail(request: Request, trial_id: str) -> Response:
    """A small picture of a trial: its scan where one is ready, else its patches as they were read or asked for."""
    workbench = workbench_of(request)
    return thumbnail_of(workbench, workbench.bench.trials.get(trial_id))


def _place(workbench: Workbench, trial_id: str, sha256: str) -> Path:
    """The folder of a scan: from a hash and an id that are checked letter by letter, never from a path."""
    if not re.fullmatch(r"[0-9a-f]{64}", sha256) or not re.fullmatch(r"[0-9A-Z]{1,40}", trial_id):
        raise NotFound("there is no such scan", "look at the trial's page")
    return place_of(workbench.bench.folder / "cache", sha256, trial_id)


def _served(file: Path, media_type: str = "image/jpeg") -> FileResponse:
    if not file.is_file():
        raise NotFound("this part of the scan is not prepared", "open the trial's page again")
    return FileResponse(file, media_type=media_type, headers=KEEP)
