"""Fonts brought to a card: a file that was sent, or a font of the computer that the workbench runs on."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from tackside.errors import NotFound
from tackside.web.forms.received import FormOf, documented
from tackside.web.shell.keys import key_of, name_of
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.workbench import workbench_of
from tackside.workflow.cards.fonts import fonts_at_hand, keep_font_of_this_computer

router = APIRouter(tags=["cards"])


@router.post("/cards/{key}/fonts", openapi_extra=documented("computer_font", files=True))
def bring(request: Request, key: str, form: FormOf) -> Response:
    """Take a font in for a card and have it looked at."""
    workbench = workbench_of(request)
    bench, name = workbench.bench, name_of(key)
    bench.cards.revision(name)
    number: int | None = None
    if form.files:
        called = form.files[0].name
        sha256 = bench.keep_file(form.files[0].path, called)
    elif form.get("computer_font"):
        sha256, called, number = keep_font_of_this_computer(bench, form.get("computer_font"))
    else:
        raise NotFound("type.no-font-chosen")
    asked = {"card": name, "sha256": sha256, "name": called, "number": number}
    job = bench.jobs.add("card-font", asked, subject=name)
    workbench.runner.wake()
    if is_part(request):
        return JSONResponse({"job": job.id}, status_code=202)
    return RedirectResponse(f"/cards/{key_of(name)}/fonts/{job.id}", status_code=303)


@router.get("/cards/{key}/fonts/{job_id}")
def brought(request: Request, key: str, job_id: str) -> Response:
    """How far the looking at a font is; for scripts as JSON, with the fonts once they are there."""
    bench = workbench_of(request).bench
    card, job = bench.cards.get(name_of(key)), bench.jobs.get(job_id)
    if job.kind != "card-font" or job.subject != card.name:
        raise NotFound("form.no-such-font")
    found = {(each["sha256"], each["number"]) for each in (job.result or {"fonts": ()})["fonts"]}
    names = [each.name for each in fonts_at_hand(bench, card) if (each.sha256, each.number) in found]
    if is_part(request):
        told = {
            "state": job.state, "is_open": job.is_open, "fonts": names,
            "what": person_at(request).tell(job.fault) if job.fault else "",
        }  # fmt: skip
        return JSONResponse(told)
    if job.result is not None:
        font = key_of(names[0]) if names else ""
        return RedirectResponse(f"/cards/{key_of(card.name)}?font={font}#fonts", status_code=303)
    return page(request, "cards/working.html", job=job, card=card)
