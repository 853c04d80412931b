"""A card's own profile in the browser: built from a trial, sent through a sheet, checked by its print, refined."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.errors import BadRequest
from tackside.records.trial import Intent
from tackside.web.forms.received import FormOf, documented
from tackside.web.shell.pages import page, person_at
from tackside.web.views.pictures.own_profile import promise_view
from tackside.web.workbench import Workbench, workbench_of
from tackside.workflow.profiles.check import check_profile
from tackside.workflow.profiles.sheet_through import kept_sheet_profile
from tackside.workflow.trials import make_trial

router = APIRouter(tags=["profiles"])


@router.post("/trials/{trial_id}/profile", openapi_extra=documented("description", "v2"))
def build(request: Request, trial_id: str, form: FormOf) -> Response:
    """Have the own profile of a trial's card built."""
    workbench = workbench_of(request)
    trial = workbench.bench.trials.get(trial_id)
    asked = {
        "trials": [trial.id],
        "description": form.get("description").strip(),
        "v2": form.get("v2") == "yes",
    }
    return _at_work(workbench, "own-profile", asked, trial.id)


@router.post("/trials/{trial_id}/refine", openapi_extra=documented())
def refine(request: Request, trial_id: str, form: FormOf) -> Response:
    """Have the profile that a trial's sheet went through built again, with that print."""
    workbench = workbench_of(request)
    trial = workbench.bench.trials.get(trial_id)
    return _at_work(workbench, "refine-profile", {"trial": trial.id}, trial.id)


@router.post("/profiles/{sha256}/sheet", openapi_extra=documented("intent"))
def send_sheet(request: Request, sha256: str, form: FormOf) -> Response:
    """Make a trial whose sheet goes through a profile that was built here, for its card and printer."""
    workbench = workbench_of(request)
    bench = workbench.bench
    kept = bench.profiles.get(sha256)
    if kept.origin is None:
        raise BadRequest("own-profile.built-elsewhere")
    intent: Intent = "perceptual" if form.get("intent") == "perceptual" else "relative"
    made = make_trial(
        bench, kept.origin.stock, kept.origin.printer, side=kept.origin.side,
        through=kept_sheet_profile(bench, sha256, intent),
    )  # fmt: skip
    bench.jobs.add("sheet", {"trial": made.trial.id}, subject=made.trial.id)
    workbench.runner.wake()
    return RedirectResponse(f"/trials/{made.trial.id}/print", status_code=303)


@router.get("/trials/{trial_id}/promise")
def promise(request: Request, trial_id: str) -> Response:
    """What the profile promised of a sheet that went through it, and what came."""
    bench = workbench_of(request).bench
    found = check_profile(bench, trial_id)
    return page(
        request,
        "profiles/promise.html",
        trial=bench.trials.get(found.trial),
        found=found,
        view=promise_view(found, person_at(request)),
    )


def _at_work(workbench: Workbench, kind: str, asked: dict[str, Any], subject: str) -> Response:
    job = workbench.bench.jobs.add(kind, asked, subject=subject)
    workbench.runner.wake()
    return RedirectResponse(f"/jobs/{job.id}", status_code=303)
