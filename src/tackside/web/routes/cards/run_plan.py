"""Planning a run: designs, quantities and prices in, sheets, packs, ink, cost and price out; then it is kept."""

from __future__ import annotations

import re
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.jobs import Job
from tackside.errors import BadRecord, BadRequest, DoesNotFit, NotFound, StorageTrouble
from tackside.records.run import KeptBatch
from tackside.run.plan.document import document, kept_batches
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.run.run_faults import beside
from tackside.web.forms.run.run_form import run_from
from tackside.web.forms.run.run_rows import MOST_ROWS
from tackside.web.forms.run.run_values import new_values, rows_shown, with_prices_asked
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import page, person_at
from tackside.web.views.cards.run import plan_view
from tackside.web.workbench import workbench_of
from tackside.workflow.runs.asked import as_data, from_data
from tackside.workflow.runs.plan_asked import keep_asked, without_files

router = APIRouter(tags=["runs"])


@router.get("/plan/run")
def begin(request: Request, card: str = "", again: str = "") -> Response:
    """An empty form; with ``card`` for a kept card, with ``again`` as a run that was planned here before."""
    bench = workbench_of(request).bench
    values = new_values(bench)
    if card:
        kept = bench.cards.get(card)
        values |= {"name": kept.name, "card-1-name": kept.name, "card-1-design": kept.name}
        values = with_prices_asked(values, bench)
    if again:
        values = _job(request, again).asked["typed"]
    return _form(request, Filled(values), fresh=not again)


@router.post("/plan/run", openapi_extra=documented("name", "currency", "card-1-name", "do", files=True))
def calculate(request: Request, form: FormOf) -> Response:
    """Plan what was typed; keep it where that is asked. Designs and lists are opened in the background."""
    workbench = workbench_of(request)
    bench, values = workbench.bench, _typed(request, form)
    do = form.get("do")
    if do.startswith("more-"):
        return _form(request, Filled(with_prices_asked(values, bench)), more=do.removeprefix("more-"))
    found = run_from(values, person_at(request).units)
    if isinstance(found, Filled):
        return _form(request, Filled(with_prices_asked(values, bench), found.faults), status=422)
    try:
        plan = without_files(bench, found)
        if found.needs_files:
            asked = {**as_data(found), "typed": values}
            job = bench.jobs.add("run-plan", asked, subject=found.run.name)
            workbench.runner.wake()
            return RedirectResponse(f"/plan/run/{job.id}", status_code=303)
        if do == "keep":
            run = keep_asked(bench, workbench.incoming, found, document(plan), kept_batches(plan))
            return _kept(request, run.id or "")
    except (BadRecord, BadRequest, DoesNotFit, NotFound, StorageTrouble) as error:
        asked_for = with_prices_asked(values, bench)
        return _form(request, Filled(asked_for, beside(error, asked_for)), status=status_of(error))
    return _form(request, Filled(values), plan=document(plan))


@router.get("/plan/run/{job_id}")
def planned(request: Request, job_id: str) -> Response:
    """A plan whose designs had to be drawn; while it is made, how far it is; where it failed, the form again."""
    job = _job(request, job_id)
    values = job.asked["typed"]
    if job.state == "failed":
        assert job.fault is not None
        fault = BadRecord.saying(job.fault, job.place)
        return _form(request, Filled(values, beside(fault, values)), status=422)
    if job.result is None:
        return page(request, "runs/working.html", job=job)
    return _form(request, Filled(values), plan=job.result["plan"], job=job)


@router.post("/plan/run/{job_id}/keep", openapi_extra=documented())
def keep(request: Request, job_id: str, form: FormOf) -> Response:
    """Keep a plan as it was made."""
    workbench, job = workbench_of(request), _job(request, job_id)
    if job.result is None:
        raise NotFound("run.not-planned-yet")
    batches = tuple(KeptBatch.model_validate(each) for each in job.result["batches"])
    asked = from_data(job.asked)
    run = keep_asked(workbench.bench, workbench.incoming, asked, job.result["plan"], batches)
    return _kept(request, run.id or "")


def _kept(request: Request, run: str) -> Response:
    """To the run's page; its papers are written meanwhile, while all stands as it was planned."""
    workbench = workbench_of(request)
    workbench.bench.jobs.add("run-papers", {"run": run}, subject=run)
    workbench.runner.wake()
    return RedirectResponse(f"/runs/{run}", status_code=303)


def _job(request: Request, job_id: str) -> Job:
    job = workbench_of(request).bench.jobs.get(job_id)
    if job.kind != "run-plan":
        raise NotFound("run.no-such-plan")
    return job


def _typed(request: Request, form: Form) -> dict[str, str]:
    """What was typed, with the lists that came along kept and named by their hashes."""
    bench = workbench_of(request).bench
    values = {name: value.strip() for name, value in form.typed().items()}
    for name in [
        each for each in values if each.endswith("-list") and not re.fullmatch(r"[0-9a-f]{64}", values[each])
    ]:
        values[name] = ""
    for each in form.files:
        found = re.fullmatch(r"card-(\d{1,3})-file", each.field)
        if found:
            values[f"card-{found[1]}-list"] = bench.keep_file(each.path, each.name)
            values[f"card-{found[1]}-list_name"] = each.name
    for name in [each for each, value in values.items() if each.endswith("-nolist") and value]:
        prefix = name.removesuffix("nolist")
        values |= {f"{prefix}list": "", f"{prefix}list_name": "", name: ""}
    return values


def _form(
    request: Request, form: Filled, *, plan: dict[str, Any] | None = None, job: Job | None = None, more: str = "",
    status: int = 200, fresh: bool = False,
) -> Response:  # fmt: skip
    """The form, ``fresh`` where nothing was typed into it yet: a run that was begun and left is then offered."""
    bench, person = workbench_of(request).bench, person_at(request)
    cards, _ = bench.catalogue.cards(ListAsked(count=500))
    return page(
        request, "runs/plan.html", status=status, form=form, job=job, fresh=fresh,
        rows=rows_shown(form.values, more), more=more,
        plan=None if plan is None else plan_view(plan, person), most=MOST_ROWS,
        stocks=[(name, name) for name in bench.catalogue.names("stock")],
        printers=[(name, name) for name in bench.catalogue.names("printer")],
        designs=[(each.card.name, each.card.name) for each in cards],
    )  # fmt: skip
