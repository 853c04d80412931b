"""Answers by eye: a reading for whoever has no scanner."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.errors import BadRequest
from tackside.records import Trial
from tackside.web.forms.eye_form import FIELDS, QUESTIONS, answers_from, rulers_of
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of
from tackside.workflow.answers import answer_by_eye, soft_of, swatches_of
from tackside.workflow.judge import judge_print

router = APIRouter(tags=["guided test"])


@router.get("/trials/{trial_id}/eye")
def ask(request: Request, trial_id: str) -> Response:
    """The questions, the sheet in the hand."""
    trial = workbench_of(request).bench.trials.get(trial_id)
    return _form(request, trial, Filled({}), 200)


@router.post("/trials/{trial_id}/eye", openapi_extra=documented(*FIELDS))
def answer(request: Request, trial_id: str, form: FormOf) -> Response:
    """Keep the answers as a reading, and judge it."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    found = answers_from(form, trial.sheet)
    if isinstance(found, Filled):
        return _form(request, trial, found, 422)
    try:
        reading = answer_by_eye(bench, trial.id, found, source_name="answers by eye", for_a_verdict=True)
    except BadRequest as error:
        return _form(request, trial, Filled(form.typed(), {"": error.message}), 422)
    judge_print(bench, trial.id, reading=reading)
    return RedirectResponse(f"/trials/{trial.id}", status_code=303)


def _form(request: Request, trial: Trial, form: Filled, status: int) -> Response:
    return page(
        request,
        "guide/eye.html",
        status=status,
        trial=trial,
        groups=QUESTIONS,
        form=form,
        rulers=rulers_of(trial.sheet),
        soft=soft_of(trial.sheet),
        swatches=swatches_of(trial.sheet),
    )
