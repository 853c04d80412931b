"""Withdrawing a trial or a reading of it, and putting it back; nothing is deleted."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse

from tackside.web.forms.received import FormOf, documented
from tackside.web.workbench import workbench_of
from tackside.workflow.standing.withdraw import Settled, withdraw_reading, withdraw_trial

router = APIRouter(tags=["trials"])


@router.post("/trials/{trial_id}/withdraw", openapi_extra=documented("why"))
def withdraw(request: Request, trial_id: str, form: FormOf) -> RedirectResponse:
    """Take a trial out of every answer."""
    return _back(withdraw_trial(workbench_of(request).bench, trial_id, why=form.get("why")))


@router.post("/trials/{trial_id}/put-back", openapi_extra=documented())
def put_back(request: Request, trial_id: str, form: FormOf) -> RedirectResponse:
    """Put back a trial that was withdrawn."""
    return _back(withdraw_trial(workbench_of(request).bench, trial_id, back=True))


@router.post("/readings/{reading_id}/withdraw", openapi_extra=documented("why"))
def withdraw_one(request: Request, reading_id: str, form: FormOf) -> RedirectResponse:
    """Take a reading out of every answer: its trial falls back to the one that stands then."""
    found = withdraw_reading(workbench_of(request).bench, reading_id, why=form.get("why"))
    return RedirectResponse(f"/trials/{found.trial}?withdrawn={found.reading}", status_code=303)


@router.post("/readings/{reading_id}/put-back", openapi_extra=documented())
def put_one_back(request: Request, reading_id: str, form: FormOf) -> RedirectResponse:
    """Put back a reading that was withdrawn."""
    return _back(withdraw_reading(workbench_of(request).bench, reading_id, back=True))


def _back(found: Settled) -> RedirectResponse:
    return RedirectResponse(f"/trials/{found.trial}", status_code=303)
