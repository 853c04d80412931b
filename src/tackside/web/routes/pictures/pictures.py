"""Pictures: the list, taking them in, a page each with what to fix before any ink, and ways on from there."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Literal

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.tasks.artifacts import place_of, read_prepared
from tackside.web.forms.queries.gamut_query import GamutAsked
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.queries.picture_query import FORM, ROOM, PictureAsked
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.i18n.words import PANELS
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.pictures.assets import TakenIn, findings_of, picture_facts
from tackside.web.views.pictures.gamut import STAGES
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.pictures.keep import keep_sent
from tackside.workflow.sent_files import SentFile

router = APIRouter(tags=["pictures"])
NO_FILE = Message("picture.none-sent")
PLACE = ("stock", "printer", "panel", "distance")
NOTHING = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"/>'


@router.get("/pictures")
def pictures(request: Request, query: ListQueryOf) -> Response:
    """All pictures that were taken in: searched and sorted."""
    return _list(request, query, TakenIn())


@router.post("/pictures", openapi_extra=documented(files=True))
def take_in(request: Request, query: ListQueryOf, form: FormOf) -> Response:
    """Keep pictures and have them looked at. What is none is refused with the reason; the others are kept."""
    taken = _take(workbench_of(request), form)
    status = 422 if taken.refused else 200
    if is_part(request):
        return page(request, "art/_taken.html", status=status, taken=taken)
    if not taken.refused and len(taken.kept) == 1:
        return RedirectResponse(taken.kept[0][0], status_code=303)
    return _list(request, query, taken, status=status)


@router.get("/pictures/{sha256}")
def show(
    request: Request, sha256: str, stock: str = "", printer: str = "", panel: str = "", distance: str = ""
) -> Response:
    """One picture: what it is, what to fix before any ink, in its place on a card where one is asked for."""
    workbench, person = workbench_of(request), person_at(request)
    bench = workbench.bench
    asked = PictureAsked.checked(sha256, stock, printer, panel, distance)
    name = bench.file_name(sha256)
    found = read_prepared(_place(bench, asked), FORM)
    job = _job(bench, asked)
    kept = bench.pictures.get(sha256) if job is None or bench.pictures.holds(sha256) else None
    return page(
        request, "pictures/show.html", name=name, asked=asked, found=found, job=None if found is not None else job,
        findings=findings_of(found), facts=[] if found is None else picture_facts(kept, found, person), panels=PANELS,
        stocks=bench.catalogue.names("stock"), printers=bench.catalogue.names("printer"),
        gamut=GamutAsked(_best_known(bench), picture=sha256), archived=bench.catalogue.is_archived("picture", sha256),
    )  # fmt: skip


@router.post("/pictures/{sha256}/look", openapi_extra=documented(*PLACE))
def look(request: Request, sha256: str, form: FormOf) -> Response:
    """Have a picture looked at, again where it was already: the cards may be others by now."""
    workbench = workbench_of(request)
    asked = PictureAsked.checked(sha256, *(form.get(each) for each in PLACE))
    job = _asked(workbench, asked, workbench.bench.pictures.get(sha256).name)
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(f"/jobs/{job.id}", status_code=303)


@router.post("/pictures/{sha256}/choose", openapi_extra=documented())
def choose(request: Request, sha256: str, form: FormOf) -> Response:
    """Have every card that was read compared for it."""
    workbench = workbench_of(request)
    picture = workbench.bench.pictures.get(sha256)
    job = workbench.bench.jobs.add("choose", {"files": [{"sha256": sha256, "name": picture.name}]})
    workbench.runner.wake()
    return RedirectResponse(f"/choices/{job.id}", status_code=303)


@router.get("/pictures/{sha256}/{which}.jpg")
def smaller(request: Request, sha256: str, which: Literal["shown", "thumbnail"]) -> Response:
    """The picture as the page or the list shows it; an empty drawing while it is not prepared."""
    bench = workbench_of(request).bench
    file = _place(bench, PictureAsked.checked(sha256)) / f"{which}.jpg"
    if not file.is_file():
        return Response(NOTHING, media_type="image/svg+xml", headers={"cache-control": "no-store"})
    return FileResponse(file, media_type="image/jpeg", headers=KEEP)


@router.post("/pictures/{sha256}/archive", openapi_extra=documented("archived"))
def archive(request: Request, sha256: str, form: FormOf) -> Response:
    """Put a picture away from the list, or take it out again."""
    bench = workbench_of(request).bench
    bench.pictures.get(sha256)
    bench.catalogue.archive("picture", sha256, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/pictures/{sha256}", status_code=303)


def _take(workbench: Workbench, form: Form) -> TakenIn:
    taken = TakenIn(refused=[] if form.files else [NO_FILE])
    for arrived in form.files:
        try:
            sha256 = keep_sent(workbench.bench, SentFile(arrived.path, arrived.name))  # the worker opens it
        except TacksideError as error:
            taken.refused.append(error.message)
            continue
        asked = PictureAsked(sha256)
        taken.kept.append((asked.address, arrived.name))
        if read_prepared(_place(workbench.bench, asked), FORM) is None or not workbench.bench.pictures.holds(
            sha256
        ):
            taken.jobs.append(_asked(workbench, asked, arrived.name))
    return taken


def _list(request: Request, query: ListQueryOf, taken: TakenIn, status: int = 200) -> Response:
    lines, total = workbench_of(request).bench.pictures.list(query.asked)
    template = "pictures/_lines.html" if is_part(request) else "pictures/list.html"
    return page(request, template, status=status, lines=lines, total=total, query=query, taken=taken)


def _place(bench: Bench, asked: PictureAsked) -> Path:
    return place_of(bench.folder / "cache", ROOM, asked.key)


def _best_known(bench: Bench) -> str:
    """The gamut that a picture is first held against: of the card that was read last, or sRGB where none was."""
    for stage in STAGES:
        lines, _ = bench.catalogue.trials(ListAsked(stage=stage, count=1, total=False))
        if lines:
            return f"trial-{lines[0].id}"
    return "srgb"


def _asked(workbench: Workbench, asked: PictureAsked, name: str) -> Job:
    """The job that looks at it: the one that is open, or a new one."""
    job = _job(workbench.bench, asked)
    if job is None or not job.is_open:
        job = workbench.bench.jobs.add("picture", {"name": name, **asdict(asked)}, subject=asked.key)
        workbench.runner.wake()
    return job


def _job(bench: Bench, asked: PictureAsked) -> Job | None:
    """The newest look at it, if it is at work or came to nothing."""
    found = bench.jobs.list(subject=asked.key, kind="picture", count=1)
    return next((job for job in found if job.is_open or job.state == "failed"), None)
