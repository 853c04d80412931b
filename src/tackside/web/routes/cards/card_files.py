"""A card's files: pictures dropped on it, what is shown of them, and what is made for the printer."""

from __future__ import annotations

import re
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import NotFound, TacksideError
from tackside.web.forms.card_form import design_of
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.revision import revision_number
from tackside.web.routes.cards.cards import PART_FIELDS, check_of, keep_design
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.keys import key_of, name_of
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.cards.card import CardView, card_view
from tackside.web.views.cards.card_print import card_print_view
from tackside.web.views.cards.card_thumbnail import SHORTLY, card_thumbnail
from tackside.web.views.cards.sending import card_subject, sending_work
from tackside.web.workbench import workbench_of
from tackside.workflow.cards.fonts import fonts_at_hand
from tackside.workflow.cards.kept import images_of, parts_of, words_left
from tackside.workflow.runs.sent_jobs import jobs_of

router = APIRouter(tags=["cards"])
MEDIA_TYPES = {"pdf": "application/pdf", "tif": "image/tiff", "jpg": "image/jpeg", "png": "image/png"}


@router.post("/cards/{key}/pictures", openapi_extra=documented("panel", files=True))
def drop(request: Request, key: str, form: FormOf) -> Response:
    """Take a picture in for a card and have it looked at."""
    workbench = workbench_of(request)
    bench, name = workbench.bench, name_of(key)
    bench.cards.revision(name)
    if not form.files:
        raise NotFound("card.no-picture-chosen")
    first = form.files[0]
    sha256 = bench.keep_file(first.path, first.name)
    asked = {"card": name, "panel": form.get("panel", "front")[:80], "sha256": sha256, "name": first.name}
    job = bench.jobs.add("card-picture", asked, subject=name)
    workbench.runner.wake()
    if is_part(request):
        return JSONResponse({"job": job.id}, status_code=202)
    return RedirectResponse(f"/cards/{key_of(name)}/pictures/{job.id}", status_code=303)


@router.get("/cards/{key}/pictures/{job_id}")
def dropped(request: Request, key: str, job_id: str) -> Response:
    """How far the looking at a picture is; for scripts as JSON, with the picture once it is there."""
    bench = workbench_of(request).bench
    card, job = bench.cards.get(name_of(key)), bench.jobs.get(job_id)
    if job.kind != "card-picture" or job.subject != card.name:
        raise NotFound("form.no-such-picture")
    if is_part(request):
        image = job.result["image"] if job.result else {}
        known = {each.sha256: each.name for each in images_of(bench, card)}
        told = {
            "state": job.state, "is_open": job.is_open, "share": job.share,
            "what": person_at(request).tell(job.fault) if job.fault else "", "sha256": image.get("sha256", ""),
            "name": known.get(image.get("sha256", ""), ""),
        }  # fmt: skip
        return JSONResponse(told)
    if job.result is not None:
        sha256, panel = job.result["image"]["sha256"], job.result["panel"]
        return RedirectResponse(
            f"/cards/{key_of(card.name)}?picture={sha256}&panel={key_of(panel)}", status_code=303
        )
    return page(request, "cards/working.html", job=job, card=card)


@router.get("/cards/{key}/shown/{sha256}.jpg", response_class=FileResponse)
def shown(request: Request, key: str, sha256: str) -> FileResponse:
    """A picture of this card as the screen shows it."""
    bench = workbench_of(request).bench
    images = images_of(bench, bench.cards.get(name_of(key)))
    if sha256 not in {each.shown_sha256 for each in images}:
        raise NotFound("card.not-shown")
    return FileResponse(bench.file(sha256), media_type="image/jpeg", headers=KEEP)


@router.get("/cards/{key}/thumbnail")
def thumbnail(request: Request, key: str) -> Response:
    """A small drawing of a card's front."""
    bench = workbench_of(request).bench
    drawn = card_thumbnail(bench, bench.cards.get(name_of(key)), workbench_of(request).paths)
    return Response(drawn, media_type="image/svg+xml", headers=SHORTLY)


@router.get("/cards/{key}/card.toml")
def card_file(request: Request, key: str) -> Response:
    """The card file, as the command line reads it."""
    card = workbench_of(request).bench.cards.get(name_of(key))
    headers = {"content-disposition": f'attachment; filename="{_plain(card.name)}.toml"'}
    return Response(card.toml, media_type="application/toml; charset=utf-8", headers=headers)


@router.post(
    "/cards/{key}/make",
    openapi_extra=documented(*PART_FIELDS, "pdf", "tif", "jpg", "uncorrected", "by_trial"),
)
def make(request: Request, key: str, form: FormOf) -> Response:
    """Keep the card, and have its print-ready files and its preview made."""
    workbench = workbench_of(request)
    kept = keep_design(request, key, form, whole=True)
    if isinstance(kept, Response):
        return kept
    name = name_of(key)
    kinds = [each for each in ("pdf", "tif", "jpg") if form.get(each) == "yes"] or ["pdf"]
    by_trial = workbench.bench.trials.get(form.get("by_trial")).id if form.get("by_trial") else None
    asked = {
        "card": name, "revision": kept, "kinds": kinds, "corrected": form.get("uncorrected") != "yes",
        "by_trial": by_trial,
    }  # fmt: skip
    words = words_left(workbench.bench.cards.get(name, kept))
    if words:
        base = f"/cards/{key_of(name)}"
        return page(request, "cards/meant.html", name=name, base=base, words=words, asked=asked)
    return _begun(request, asked)


@router.post(
    "/cards/{key}/make-kept",
    openapi_extra=documented("revision", "pdf", "tif", "jpg", "uncorrected", "by_trial"),
)
def make_kept(request: Request, key: str, form: FormOf) -> Response:
    """Have the files of a kept revision made, words that a template left on it being meant."""
    bench, name = workbench_of(request).bench, name_of(key)
    revision = revision_number(form.get("revision"))
    bench.cards.get(name, revision)
    kinds = [each for each in ("pdf", "tif", "jpg") if form.get(each) == "yes"] or ["pdf"]
    by_trial = bench.trials.get(form.get("by_trial")).id if form.get("by_trial") else None
    asked = {
        "card": name, "revision": revision, "kinds": kinds, "corrected": form.get("uncorrected") != "yes",
        "by_trial": by_trial,
    }  # fmt: skip
    return _begun(request, asked)


def _begun(request: Request, asked: dict[str, Any]) -> Response:
    """The work asked for, and the page that follows it."""
    workbench = workbench_of(request)
    workbench.bench.jobs.add("card-files", asked, subject=asked["card"])
    workbench.runner.wake()
    return RedirectResponse(f"/cards/{key_of(asked['card'])}/print", status_code=303)


@router.get("/cards/{key}/print")
def show_print(request: Request, key: str) -> Response:
    """The files for the printer, the card as it will be, and how to print it."""
    bench = workbench_of(request).bench
    kept = bench.cards.kept(name_of(key))
    jobs = bench.jobs.list(subject=kept.record.name, kind="card-files", count=20)
    made = next((each for each in jobs if each.result is not None), None)
    newest = jobs[0] if jobs else None
    view = None if made is None else card_print_view(bench, kept.record, made, person_at(request))
    drawn = None if made is None else _drawn(request, kept.record.name, made.asked["revision"])
    return page(
        request, "cards/print.html", card=kept.record, base=f"/cards/{key_of(kept.record.name)}", view=view,
        drawn=drawn, jobs=jobs_of(bench, card=kept.record.name), run=None,
        work=sending_work(bench, card_subject(kept.record.name)),
        job=newest if newest is not None and newest.result is None else None,
        is_older=made is not None and made.asked["revision"] != kept.number,
    )  # fmt: skip


@router.get("/cards/{key}/made/{job_id}/{file}", response_class=FileResponse)
def made_file(request: Request, key: str, job_id: str, file: str) -> FileResponse:
    """One file that was made: ``card.pdf``, ``card.tif``, ``card-inside.tif``, ``folded.png`` and their like."""
    bench = workbench_of(request).bench
    card = bench.cards.get(name_of(key))
    job = _made(bench, card.name, job_id)
    sha256 = (job.result or {}).get("files", {}).get(file)
    if sha256 is None:
        raise NotFound("card.file-not-made")
    suffix = file.rsplit(".", 1)[1]
    name = None if suffix == "png" else file.replace("card", _plain(card.name), 1)
    return FileResponse(bench.file(sha256), media_type=MEDIA_TYPES[suffix], filename=name, headers=KEEP)


def _drawn(request: Request, name: str, revision: int) -> CardView | None:
    """The card as it was when its files were made; None where its stock has changed so that it no longer stands."""
    bench = workbench_of(request).bench
    card = bench.cards.get(name, revision)
    parts, images = parts_of(card), images_of(bench, card)
    try:
        outcome = check_of(request, parts, images, fonts_at_hand(bench, card))
    except TacksideError:
        return None
    return card_view(outcome, design_of(parts), images, f"/cards/{key_of(name)}", person_at(request))


def _made(bench: Bench, card: str, job_id: str) -> Job:
    job = bench.jobs.get(job_id)
    if job.kind != "card-files" or job.subject != card:
        raise NotFound("card.no-such-files")
    return job


def _plain(name: str) -> str:
    """A name that any disk takes."""
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower()[:60] or "card"
