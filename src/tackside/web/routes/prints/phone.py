"""A phone in place of a scanner: the page that opens the door for it, says what is open, and shuts it when it goes."""

from __future__ import annotations

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.jobs import Job
from tackside.errors import BadRequest, TacksideError
from tackside.records import Trial
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.jobs.engine.results import href_of
from tackside.web.phone.addresses import own_addresses
from tackside.web.phone.app import phone_app
from tackside.web.phone.code import qr_code
from tackside.web.phone.door import PhoneDoor
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import page
from tackside.web.workbench import Workbench, workbench_of

router = APIRouter(tags=["phone"])
MOST = 200
PHONE_SECONDS = 6.0  # that a phone has to fetch the verdict before its page is shut


@router.get("/trials/{trial_id}/phone")
def show(request: Request, trial_id: str) -> Response:
    """What is to be opened, and for how long; or, while it is open, the code, the password and how far the phone is."""
    trial = workbench_of(request).bench.trials.standing(trial_id)
    return _page(request, trial, Filled({}))


@router.post("/trials/{trial_id}/phone", openapi_extra=documented("beside", "address"))
def open_it(request: Request, trial_id: str, form: FormOf) -> Response:
    """Open the phone's page on the local network, for this trial alone, until its page here goes."""
    workbench = workbench_of(request)
    bench = workbench.bench
    trial = bench.trials.standing(trial_id)
    try:
        beside = bench.trials.standing(form.get("beside")).id if form.get("beside") else None
        if beside == trial.id:
            raise BadRequest("phone.beside-itself")
        address = form.get("address")
        if address not in {each.address for each in own_addresses()}:
            raise BadRequest("phone.no-such-address", address=address or "?")
        door = PhoneDoor(trial.id, beside, address)
        workbench.doorway.open(door, phone_app(workbench, door))
    except TacksideError as fault:
        return _page(request, trial, Filled(form.typed(), {"": fault.message}), status_of(fault))
    return RedirectResponse(f"/trials/{trial.id}/phone", status_code=303)


@router.post("/trials/{trial_id}/phone/here", openapi_extra=documented())
def here(request: Request, trial_id: str, form: FormOf) -> Response:
    """The page is still there: the door stays open. Says how far the phone is, and leads on once it is read."""
    workbench = workbench_of(request)
    trial = workbench.bench.trials.get(trial_id)
    door = workbench.doorway.of(trial.id)
    if door is None:
        return page(request, "phone/_shut.html", trial=trial)
    door.heard()
    job = None if door.visit.job is None else workbench.bench.jobs.get(door.visit.job)
    answer = page(request, "phone/_open.html", trial=trial, door=door, job=job)
    if job is not None and job.state == "done" and (door.visit.told or _ended_ago(job) > PHONE_SECONDS):
        workbench.doorway.shut()
        answer.headers["hx-redirect"] = href_of(job) or f"/trials/{trial.id}"
    return answer


@router.post("/trials/{trial_id}/phone/close", openapi_extra=documented())
def close(request: Request, trial_id: str, form: FormOf) -> Response:
    """Shut the phone's page, at a press or because the page here goes."""
    workbench = workbench_of(request)
    trial = workbench.bench.trials.get(trial_id)
    if workbench.doorway.of(trial.id) is not None:
        workbench.doorway.shut()
    return RedirectResponse(f"/trials/{trial.id}/phone", status_code=303)


def _ended_ago(job: Job) -> float:
    return 0.0 if job.ended_at is None else (datetime.now(UTC) - job.ended_at).total_seconds()


def _page(request: Request, trial: Trial, form: Filled, status: int = 200) -> Response:
    workbench = workbench_of(request)
    door = workbench.doorway.of(trial.id)
    if door is not None:
        beside = None if door.beside is None else workbench.bench.trials.get(door.beside)
        return page(
            request, "phone/open.html", status=status, trial=trial, door=door, beside=beside, job=None,
            code=qr_code(door.url),
        )  # fmt: skip
    return page(
        request, "phone/ask.html", status=status, trial=trial, form=form, addresses=own_addresses(),
        besides=_besides(workbench, trial),
    )  # fmt: skip


def _besides(workbench: Workbench, trial: Trial) -> list[tuple[str, str]]:
    """Read prints that may lie beside it, the good ones first, as (id, words)."""
    lines, _ = workbench.bench.catalogue.trials(ListAsked(stage="judged", count=MOST, total=False))
    good = ("sell", "send")
    known = sorted(
        (line for line in lines if line.id != trial.id),
        key=lambda line: (line.grade not in good, line.stock != trial.stock),
    )
    return [(line.id, f"{line.id} · {line.stock} · {line.printer}") for line in known]
