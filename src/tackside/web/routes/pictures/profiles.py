"""Colour profiles: the list, taking them in, a page each with what it is, what it holds and which cards it is near."""

from __future__ import annotations

import re

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import NotFound, TacksideError
from tackside.messages.message import Message
from tackside.records.assets import ProfileFile
from tackside.tasks.artifacts import place_of, read_prepared
from tackside.web.forms.queries.gamut_query import HASH, GamutAsked
from tackside.web.forms.queries.gamut_query import ROOM as GAMUTS
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.i18n.words import PROFILE_KINDS
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.pictures.assets import VERDICTS, TakenIn, looked_at
from tackside.web.views.pictures.gamut import GamutView, gamut_view
from tackside.web.views.pictures.own_profile import own_profile_view
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.pictures.keep import keep_profile
from tackside.workflow.prepared.gamut import FORM as GAMUT_FORM
from tackside.workflow.prepared.profile import BESIDE, FORM, ROOM
from tackside.workflow.sent_files import SentFile, names_of, renamed

router = APIRouter(tags=["profiles"])
NO_FILE = Message("profile.none-sent")
SHORTLY = {"cache-control": "private, max-age=60"}


@router.get("/profiles")
def profiles(request: Request, query: ListQueryOf) -> Response:
    """All profiles that were taken in: searched and sorted."""
    return _list(request, query, TakenIn())


@router.post("/profiles", openapi_extra=documented(files=True))
def take_in(request: Request, query: ListQueryOf, form: FormOf) -> Response:
    """Keep profiles. What is none is refused with the reason; the others are kept all the same."""
    taken = _take(workbench_of(request), form)
    if is_part(request):
        return page(request, "art/_taken.html", status=422 if taken.refused else 200, taken=taken)
    if not taken.refused and len(taken.kept) == 1:
        return RedirectResponse(taken.kept[0][0], status_code=303)
    return _list(request, query, taken, status=422 if taken.refused else 200)


@router.get("/profiles/{sha256}")
def show(request: Request, sha256: str) -> Response:
    """One profile: what it is and what is wrong with it, its gamut, the cards it is nearest to."""
    workbench, person = workbench_of(request), person_at(request)
    kept = _kept(workbench.bench, sha256)
    found = read_prepared(place_of(workbench.bench.folder / "cache", ROOM, sha256), FORM)
    gamut = _gamut(request, sha256) if found is not None and found["has_gamut"] else None
    ready = found is not None and (gamut is not None or not found["has_gamut"])
    return page(
        request, "profiles/show.html", profile=kept, found=found if ready else None, gamut=gamut,
        job=None if ready else _job(workbench.bench, sha256), verdicts=VERDICTS, kinds=PROFILE_KINDS,
        looked_at=looked_at(found, person) if found is not None else "",
        archived=workbench.bench.catalogue.is_archived("profile", sha256),
        asked=GamutAsked(f"profile-{sha256}", BESIDE), own=own_profile_view(workbench.bench, kept),
    )  # fmt: skip


@router.post("/profiles/{sha256}/look", openapi_extra=documented())
def look(request: Request, sha256: str, form: FormOf) -> Response:
    """Have a profile looked into, or held against the cards again."""
    workbench = workbench_of(request)
    _kept(workbench.bench, sha256)
    job = _asked(workbench, sha256)
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(f"/jobs/{job.id}", status_code=303)


@router.get("/profiles/{sha256}/file", response_class=FileResponse)
def file(request: Request, sha256: str) -> FileResponse:
    """The profile itself."""
    bench = workbench_of(request).bench
    kept = _kept(bench, sha256)
    return FileResponse(bench.file(sha256), media_type="application/vnd.iccprofile", filename=kept.name)


@router.get("/profiles/{sha256}/thumbnail")
def thumbnail(request: Request, sha256: str) -> Response:
    """How far its colours reach at one lightness; an empty drawing while that is not known."""
    workbench = workbench_of(request)
    _kept(workbench.bench, sha256)
    found = read_prepared(place_of(workbench.bench.folder / "cache", ROOM, sha256), FORM)
    drawn = found["thumbnail"] if found is not None else None
    empty = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"/>'
    return Response(drawn or empty, media_type="image/svg+xml", headers=SHORTLY)


@router.post("/profiles/{sha256}/archive", openapi_extra=documented("archived"))
def archive(request: Request, sha256: str, form: FormOf) -> Response:
    """Put a profile away from the list, or take it out again."""
    bench = workbench_of(request).bench
    _kept(bench, sha256)
    bench.catalogue.archive("profile", sha256, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/profiles/{sha256}", status_code=303)


def _take(workbench: Workbench, form: Form) -> TakenIn:
    taken = TakenIn(refused=[] if form.files else [NO_FILE])
    for arrived in form.files:
        try:
            kept = keep_profile(workbench.bench, arrived.path, arrived.name)
        except TacksideError as error:
            taken.refused.append(renamed(error.message, names_of([SentFile(arrived.path, arrived.name)])))
            continue
        if read_prepared(place_of(workbench.bench.folder / "cache", ROOM, kept.sha256), FORM) is None:
            _asked(workbench, kept.sha256)
        taken.kept.append((f"/profiles/{kept.sha256}", kept.title))
    return taken


def _list(request: Request, query: ListQueryOf, taken: TakenIn, status: int = 200) -> Response:
    lines, total = workbench_of(request).bench.profiles.list(query.asked)
    template = "profiles/_lines.html" if is_part(request) else "profiles/list.html"
    return page(
        request,
        template,
        status=status,
        lines=lines,
        total=total,
        query=query,
        taken=taken,
        kinds=PROFILE_KINDS,
    )


def _gamut(request: Request, sha256: str) -> GamutView | None:
    bench = workbench_of(request).bench
    key = GamutAsked(f"profile-{sha256}", BESIDE).key(bench)
    found = read_prepared(place_of(bench.folder / "cache", GAMUTS, key), GAMUT_FORM)
    return None if found is None else gamut_view(found, f"/gamut/files/{key}", person_at(request))


def _kept(bench: Bench, sha256: str) -> ProfileFile:
    if not re.fullmatch(HASH, sha256, re.ASCII):
        raise NotFound("profile.no-such")
    return bench.profiles.get(sha256)


def _asked(workbench: Workbench, sha256: str) -> Job:
    """The job that looks into it: the one that is open, or a new one."""
    job = _job(workbench.bench, sha256)
    if job is None or not job.is_open:
        job = workbench.bench.jobs.add("profile", {"sha256": sha256}, subject=sha256)
        workbench.runner.wake()
    return job


def _job(bench: Bench, sha256: str) -> Job | None:
    """The newest look at it, if it is at work or came to nothing."""
    found = bench.jobs.list(subject=sha256, kind="profile", count=1)
    return next((job for job in found if job.is_open or job.state == "failed"), None)
