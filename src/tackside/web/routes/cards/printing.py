"""Print sheets of a run, or a single card, from the browser: a printer is found and asked, then the sheets are sent."""

from __future__ import annotations

import secrets
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.errors import BadRequest, TacksideError
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.i18n import words
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.keys import key_of, name_of
from tackside.web.shell.pages import page, person_at
from tackside.web.views.cards.sending import ConfirmView, card_subject, confirm_view, sending_work
from tackside.web.workbench import workbench_of
from tackside.workflow.runs.send import SendWishes, last_address
from tackside.workflow.runs.sending import Sending, ready_from_page
from tackside.workflow.runs.sent_jobs import (
    asking_nearby,
    cancel_jobs,
    cancel_other_jobs,
    jobs_of,
    settled,
)
from tackside.workflow.stocks.ask_printer import Announced, printers_around

router = APIRouter(tags=["printing"])
FIELDS = ("do", "address", "card", "sheets", "face", "media_type", "quality", "intent", "order", "confirmed")
LISTEN_SECONDS = 3.0
MOST_SHEETS = 10_000


@dataclass(frozen=True)
class ToPrint:
    """What is to be printed: ``asked`` has no address yet. ``cards`` are the designs to choose from."""

    title: str
    back: str
    action: str
    printer: str
    cards: tuple[str, ...]
    asked: Sending

    @property
    def offered(self) -> list[tuple[str, str]]:
        """The designs as a select offers them."""
        return [(each, each) for each in self.cards]

    @property
    def subject(self) -> str:
        return self.asked.run or self.asked.trial or card_subject(self.asked.card or "")


@router.get("/runs/{run_id}/print/{batch}")
def run_form(request: Request, run_id: str, batch: int) -> Response:
    """Where the sheets of a batch are to be printed."""
    return _form(request, _of_run(request, run_id, batch))


@router.post("/runs/{run_id}/print/{batch}", openapi_extra=documented(*FIELDS))
def run_asked(request: Request, run_id: str, batch: int, form: FormOf) -> Response:
    """Look for printers, ask the one that was named, or send to it what was confirmed."""
    return _asked(request, _of_run(request, run_id, batch), form)


@router.get("/cards/{key}/send")
def card_form(request: Request, key: str) -> Response:
    """Where a single card is to be printed."""
    return _form(request, _of_card(request, key))


@router.post("/cards/{key}/send", openapi_extra=documented(*FIELDS))
def card_asked(request: Request, key: str, form: FormOf) -> Response:
    """The same for a single card."""
    return _asked(request, _of_card(request, key), form)


@router.get("/trials/{trial_id}/send")
def trial_form(request: Request, trial_id: str) -> Response:
    """Where the test sheet of a trial is to be printed."""
    return _form(request, _of_trial(request, trial_id))


@router.post("/trials/{trial_id}/send", openapi_extra=documented(*FIELDS))
def trial_asked(request: Request, trial_id: str, form: FormOf) -> Response:
    """The same for the test sheet of a trial."""
    return _asked(request, _of_trial(request, trial_id), form)


@router.get("/trials/{trial_id}/sent")
def trial_sent(request: Request, trial_id: str) -> Response:
    """The jobs of a trial's sheet."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id).id
    jobs, work = settled(bench, jobs_of(bench, trial=trial), asking_nearby), sending_work(bench, trial)
    return page(request, "runs/_sent.html", jobs=jobs, base=f"/trials/{trial}", run=None, work=work)


@router.post("/trials/{trial_id}/cancel", openapi_extra=documented())
def cancel_trial(request: Request, trial_id: str, form: FormOf) -> Response:
    """Cancel a trial's sheet at the printer."""
    target = _of_trial(request, trial_id)
    if not _stop_work(request, target.subject):
        cancel_other_jobs(workbench_of(request).bench, trial=target.asked.trial, connect=asking_nearby)
    return RedirectResponse(f"{target.back}#sent", status_code=303)


@router.get("/runs/{run_id}/sent")
def run_sent(request: Request, run_id: str) -> Response:
    """The jobs of a run, as their printers say that they stand."""
    bench = workbench_of(request).bench
    run = bench.runs.get(run_id).id
    jobs = settled(bench, jobs_of(bench, run=run), asking_nearby)
    return page(
        request,
        "runs/_sent.html",
        jobs=jobs,
        base=f"/runs/{run}",
        run=run,
        work=sending_work(bench, run or ""),
    )


@router.get("/cards/{key}/sent")
def card_sent(request: Request, key: str) -> Response:
    """The jobs of a single card."""
    bench = workbench_of(request).bench
    name = bench.cards.get(name_of(key)).name
    jobs, work = (
        settled(bench, jobs_of(bench, card=name), asking_nearby),
        sending_work(bench, card_subject(name)),
    )
    return page(request, "runs/_sent.html", jobs=jobs, base=f"/cards/{key_of(name)}", run=None, work=work)


@router.post("/runs/{run_id}/cancel", openapi_extra=documented())
def cancel_run(request: Request, run_id: str, form: FormOf) -> Response:
    """Cancel what of a run is at a printer, and send no more of it."""
    workbench = workbench_of(request)
    run = workbench.bench.runs.get(run_id).id or run_id
    if not _stop_work(request, run):
        cancel_jobs(workbench.bench, run, connect=asking_nearby)
    return RedirectResponse(f"/runs/{run}#sent", status_code=303)


@router.post("/cards/{key}/cancel", openapi_extra=documented())
def cancel_card(request: Request, key: str, form: FormOf) -> Response:
    """The same for a single card."""
    target = _of_card(request, key)
    if not _stop_work(request, target.subject):
        cancel_other_jobs(workbench_of(request).bench, card=target.asked.card, connect=asking_nearby)
    return RedirectResponse(f"{target.back}#sent", status_code=303)


def _stop_work(request: Request, subject: str) -> bool:
    """Ask the work that sends to stop, which cancels its job at the printer; whether there is any."""
    workbench = workbench_of(request)
    at_work = workbench.bench.jobs.list(subject=subject, kind="send", is_open=True)
    for job in at_work:
        workbench.bench.jobs.cancel(job.id)
    workbench.wake()
    return bool(at_work)


def _of_run(request: Request, run_id: str, batch: int) -> ToPrint:
    run = workbench_of(request).bench.runs.get(run_id)
    found = next((each for each in run.batches if each.number == batch), None)
    if found is None:
        raise BadRequest("run.no-batch", run=run.id, batch=batch, last=len(run.batches))
    back = f"/runs/{run.id}"
    cards = tuple(name for name, _ in found.cards)
    asked = Sending("", run=run.id, batch=batch)
    title = person_at(request).say("%(run)s, batch %(n)s", run=run.name, n=batch)
    return ToPrint(title, back, f"{back}/print/{batch}", found.printer, cards, asked)


def _of_card(request: Request, key: str) -> ToPrint:
    card = workbench_of(request).bench.cards.get(name_of(key))
    base = f"/cards/{key_of(card.name)}"
    return ToPrint(card.name, f"{base}/print", f"{base}/send", card.printer, (), Sending("", card=card.name))


def _of_trial(request: Request, trial_id: str) -> ToPrint:
    trial = workbench_of(request).bench.trials.get(trial_id)
    base = f"/trials/{trial.id}"
    asked = Sending("", trial=trial.id)
    return ToPrint(trial.id, f"{base}/print", f"{base}/send", trial.printer, (), asked)


def _asked(request: Request, target: ToPrint, form: Form) -> Response:
    wanted = form.get("do")
    if wanted == "find":
        try:
            found = printers_around(LISTEN_SECONDS)
        except TacksideError as error:
            return _form(request, target, form, fault=error.message, status=status_of(error))
        return _form(request, target, form, found=found)
    try:
        asked = _sending(target, form)
        if wanted == "send":
            return _send(request, target, asked, form)
        with tempfile.TemporaryDirectory(dir=workbench_of(request).cache) as folder:
            ready = ready_from_page(workbench_of(request).bench, asked, Path(folder))
    except TacksideError as error:
        return _form(request, target, form, fault=error.message, status=status_of(error))
    view = confirm_view(ready, person_at(request))
    return _form(request, target, form, view=view)


def _send(request: Request, target: ToPrint, asked: Sending, form: Form) -> Response:
    """Have it sent, once for each page on which it was confirmed."""
    workbench, order = workbench_of(request), form.get("order")[:40]
    jobs = workbench.bench.jobs
    known = [job for job in jobs.list(subject=target.subject, kind="send") if job.asked["order"] == order]
    if not known:
        confirmed = _whole(form, "confirmed") or 0
        data = {
            "sending": asked.as_data(),
            "order": order,
            "confirmed": confirmed,
            "page": f"{target.back}#sent",
        }
        jobs.add("send", data, subject=target.subject)
        workbench.wake()
    return RedirectResponse(f"{target.back}#sent", status_code=303)


def _sending(target: ToPrint, form: Form) -> Sending:
    wishes = SendWishes(
        1 if form.get("face") == "2" else 0,
        form.get("media_type")[:200] or None,
        form.get("quality") if form.get("quality") in words.QUALITIES else "high",
        form.get("intent") if form.get("intent") in words.PRINT_INTENTS else "relative",
    )
    card = form.get("card") if form.get("card") in target.cards else target.asked.card
    return replace(
        target.asked,
        address=form.get("address")[:300],
        card=card or None,
        sheets=_whole(form, "sheets"),
        wishes=wishes,
    )


def _form(
    request: Request,
    target: ToPrint,
    form: Form | None = None,
    *,
    found: Sequence[Announced] | None = None,
    view: ConfirmView | None = None,
    fault: Message | None = None,
    status: int = 200,
) -> Response:
    values = form.typed() if form else {}
    values.setdefault("address", last_address(workbench_of(request).bench, target.printer) or "")
    values.setdefault("quality", "high")
    values.setdefault("intent", "relative")
    return page(
        request, "runs/print.html", status=status, target=target, form=Filled(values), found=found, view=view,
        fault=fault, order=secrets.token_hex(12),
    )  # fmt: skip


def _whole(form: Form, name: str) -> int | None:
    text = form.get(name)
    if not text:
        return None
    if not (text.isascii() and text.isdigit()) or not 0 < int(text[:9]) <= MOST_SHEETS:
        place = Place("tally", (name,))
        raise BadRequest("run.not-a-count", place=place, field=place, typed=text[:20], most=MOST_SHEETS)
    return int(text)
