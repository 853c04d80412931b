"""The live proof of one picture: prepared in the background, then switched in the browser at once."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.errors import NotFound
from tackside.web.forms.received import FormOf, documented
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.pages import page
from tackside.web.views.pictures.choice import ChoiceView, choice_of, choice_view
from tackside.web.views.pictures.proof import ProofAsked, cards_asked, profiles_asked, proof_view
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.prepared.live_proof import place_of, read_proof
from tackside.workflow.prepared.proof_ways import STEM

router = APIRouter(tags=["proof"])
MAPS = "outside|difference|lost-contrast"
FILE_NAME = (
    rf"(picture|original|way-[0-9a-f]{{{STEM}}}-(plain|paper|{MAPS}))\.jpg|way-[0-9a-f]{{{STEM}}}-lost\.png"
)


@router.post("/choices/{job_id}/proof", openapi_extra=documented("number", "card", "renew"))
def ask(request: Request, job_id: str, form: FormOf) -> Response:
    """Have a picture's live proof prepared, where it is not."""
    workbench = workbench_of(request)
    choice = _choice(workbench, job_id)
    number = int(form.get("number")) if re.fullmatch(r"\d{1,3}", form.get("number"), re.ASCII) else -1
    picture, card = choice.picture(number), choice.card(form.get("card"))
    wanted = form.get("renew") == "yes" or _ready(workbench, choice, number) is None
    if wanted and _job(workbench, choice, number) is None:
        asked = {
            "sha256": picture.sha256, "name": picture.name, "choice": choice.id, "number": number,
            "trials": _trials(choice), "card": card.trial,
            "cards": [*cards_asked(choice), *profiles_asked(workbench.bench)],
        }  # fmt: skip
        workbench.bench.jobs.add("proof", asked, subject=choice.id)
        workbench.runner.wake()
    return RedirectResponse(f"/choices/{choice.id}/proof/{number}?card={card.trial}", status_code=303)


@router.get("/choices/{job_id}/proof/{number}")
def proof(
    request: Request,
    job_id: str,
    number: int,
    card: str = "",
    intent: str = "",
    bpc: str = "",
    paper: str = "",
    show: str = "print",
) -> Response:
    """A picture as a card will show it, full and near. Without scripts: the way that the address asks for."""
    workbench = workbench_of(request)
    choice = _choice(workbench, job_id)
    picture, line = choice.picture(number), choice.card(card)
    ready = _ready(workbench, choice, number)
    if ready is None:
        job = _job(workbench, choice, number, failed=True)
        return page(
            request, "proof/working.html", job=job, choice=choice, picture=picture, number=number, card=line
        )
    by_best = ProofAsked(line.trial, line.intent, line.bpc, paper == "yes", show)
    seen = ProofAsked(card or line.trial, intent, bpc == "yes", paper == "yes", show) if intent else by_best
    base = f"/choices/{choice.id}/proof/{number}/files"
    view = proof_view(ready, base, seen, profiles_asked(workbench.bench))
    renewing = _job(workbench, choice, number)
    return page(
        request,
        "proof/proof.html",
        view=view,
        choice=choice,
        picture=picture,
        number=number,
        renewing=renewing,
    )


@router.get("/choices/{job_id}/proof/{number}/files/{name}", response_class=FileResponse)
def proof_file(request: Request, job_id: str, number: int, name: str) -> FileResponse:
    """A picture of the proof, by one of our own names; or a way's table, by its key."""
    workbench = workbench_of(request)
    choice = _choice(workbench, job_id)
    ready = _ready(workbench, choice, number)
    keys = {each["key"] for each in ready["ways"]} | {ready["original"]} if ready else set()
    cache = workbench.bench.folder / "cache"
    if name.removesuffix(".bin") in keys:
        file, kind = cache / "links" / name, "application/octet-stream"
    elif re.fullmatch(FILE_NAME, name, re.ASCII):
        kind = "image/png" if name.endswith(".png") else "image/jpeg"
        file = _place(workbench, choice, number) / name
    else:
        raise NotFound("proof.no-file")
    if not file.is_file():
        raise NotFound("proof.part-not-prepared")
    return FileResponse(file, media_type=kind, headers=KEEP)


def _choice(workbench: Workbench, job_id: str) -> ChoiceView:
    job = choice_of(workbench.bench, job_id)
    if job.result is None:
        raise NotFound("choose.not-made")
    return choice_view(job)


def _place(workbench: Workbench, choice: ChoiceView, number: int) -> Path:
    return place_of(workbench.bench.folder / "cache", choice.picture(number).sha256, _trials(choice))


def _trials(choice: ChoiceView) -> list[str]:
    return [each["card"] for each in cards_asked(choice)]


def _ready(workbench: Workbench, choice: ChoiceView, number: int) -> dict[str, Any] | None:
    return read_proof(_place(workbench, choice, number))


def _job(workbench: Workbench, choice: ChoiceView, number: int, *, failed: bool = False) -> Job | None:
    """The open job of this picture's proof; with ``failed`` also one that came to nothing."""
    jobs = workbench.bench.jobs.list(subject=choice.id, kind="proof", count=40)
    mine = (job for job in jobs if job.asked.get("number") == number)
    return next((job for job in mine if job.is_open or (failed and job.state == "failed")), None)
