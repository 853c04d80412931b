"""Runs: what was planned and kept, and counting sheets at the printer, from a phone as well."""

from __future__ import annotations

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.records.run import Counted
from tackside.errors import BadRequest
from tackside.run.progress import tally
from tackside.web.forms.received import FormOf, documented
from tackside.web.pages import page, person_at
from tackside.web.views.run import run_view
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["runs"])
KINDS: tuple[Counted, ...] = ("good", "spoiled", "set-up")
MOST_SHEETS = 100_000


@router.get("/runs")
def runs(request: Request) -> Response:
    """All runs that were kept, the newest first."""
    return page(request, "runs/list.html", runs=workbench_of(request).bench.runs.list()[::-1])


@router.get("/runs/{run_id}")
def show(request: Request, run_id: str) -> Response:
    """One run: what it takes and costs, and how far it is."""
    return _shown(request, run_id)


@router.post("/runs/{run_id}/count", openapi_extra=documented("batch", *KINDS, "why"))
def count(request: Request, run_id: str, form: FormOf) -> Response:
    """Count sheets at the printer."""
    shelf = workbench_of(request).bench.runs
    run = shelf.get(run_id)
    try:
        batch = _whole(form.get("batch"), "the batch")
        counted = {kind: _whole(form.get(kind), f"the number of {kind} sheets") for kind in KINDS}
        if not any(counted.values()):
            raise BadRequest("nothing was counted", "give the good, spoiled or set-up sheets, 1 or more")
        now, why = datetime.now(UTC), form.get("why")[:200] or None
        shelf.count(
            *(
                tally(run, batch, kind, sheets, made_at=now, why=why if kind == "spoiled" else None)
                for kind, sheets in counted.items()
                if sheets
            )
        )
    except BadRequest as error:
        return _shown(request, run.id or "", fault=str(error), typed=form.typed(), status=422)
    return RedirectResponse(f"/runs/{run.id}", status_code=303)


def _shown(
    request: Request, run_id: str, *, fault: str = "", typed: dict[str, str] | None = None, status: int = 200
) -> Response:
    shelf = workbench_of(request).bench.runs
    view = run_view(shelf.get(run_id), shelf.tallies(run_id), person_at(request))
    return page(request, "runs/show.html", status=status, view=view, fault=fault, typed=typed or {})


def _whole(text: str, what: str) -> int:
    if not text:
        return 0
    if not (text.isascii() and text.isdigit()) or int(text[:12]) > MOST_SHEETS:
        raise BadRequest(f"{what} is {text[:20]!r}", f"give a whole number, {MOST_SHEETS} at most")
    return int(text)
