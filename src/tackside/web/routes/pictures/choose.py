"""Which card for these pictures: dropped in, the cards compared in the background, answered in a sentence."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked, Stage
from tackside.errors import NotFound
from tackside.messages.message import Message
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.forms.wishes_form import wishes_from
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.next_step import button
from tackside.web.views.pictures.choice import choice_of, choice_view
from tackside.web.workbench import workbench_of
from tackside.workflow.leading.next_steps import steps_after

router = APIRouter(tags=["choose"])
NO_PICTURE = Message("picture.none-sent")
READ: tuple[Stage, ...] = ("to-judge", "judged")


@router.get("/choose")
def choose(request: Request) -> Response:
    """Pictures to be dropped, and what the card must be."""
    return _form(request, Filled({}))


@router.post(
    "/choose", openapi_extra=documented("printer", "width", "height", "max_price", "on_hand", files=True)
)
def weigh(request: Request, form: FormOf) -> Response:
    """Take pictures in and have every card that was read compared for them."""
    workbench = workbench_of(request)
    bench = workbench.bench
    wishes = wishes_from(form, person_at(request).units)
    if isinstance(wishes, Filled):
        return _form(request, wishes, 422)
    if not form.files:
        return _form(request, Filled(form.typed(), {"files": NO_PICTURE}), 422)
    if wishes["printer"]:
        bench.printers.get(wishes["printer"])
    files = [{"sha256": bench.keep_file(each.path, each.name), "name": each.name} for each in form.files]
    job = bench.jobs.add("choose", {"files": files, **wishes})
    workbench.runner.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    return RedirectResponse(f"/choices/{job.id}", status_code=303)


@router.get("/choices/{job_id}")
def choice(request: Request, job_id: str) -> Response:
    """The answer, the cards ranked, and every picture as each would show it."""
    bench = workbench_of(request).bench
    job = choice_of(bench, job_id)
    if job.result is None:
        return page(request, "choose/working.html", job=job)
    view = choice_view(job)
    first = view.cards[0].trial if view.cards else None
    steps = () if first is None else steps_after("choice", trial=bench.trials.get(first))
    onward = button(steps[0], person_at(request)) if steps else None
    return page(request, "choose/choice.html", view=view, onward=onward)


@router.get("/choices/{job_id}/shown/{sha256}.jpg", response_class=FileResponse)
def shown(request: Request, job_id: str, sha256: str) -> FileResponse:
    """A small proof, or the picture itself, as the choice keeps it."""
    bench = workbench_of(request).bench
    job = choice_of(bench, job_id)
    known = {each for line in choice_view(job).pictures for each in line.shown} if job.result else set()
    if sha256 not in known:
        raise NotFound("choose.not-shown")
    return FileResponse(bench.file(sha256), media_type="image/jpeg", headers=KEEP)


def _form(request: Request, form: Filled, status: int = 200) -> Response:
    bench = workbench_of(request).bench
    printers, _ = bench.catalogue.printers(ListAsked(count=200))
    past = [job for job in bench.jobs.list(kind="choose", count=12) if job.result is not None]
    read = [bench.catalogue.trials(ListAsked(stage=stage, count=1))[1] for stage in READ]
    template = "choose/_form.html" if is_part(request) else "choose/choose.html"
    return page(
        request, template, status=status, form=form, has_cards=any(read),
        printers=[each.printer.name for each in printers], past=[choice_view(job) for job in past],
    )  # fmt: skip
