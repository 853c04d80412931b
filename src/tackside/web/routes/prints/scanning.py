"""Scan from here: a scanner is chosen, and sheets are scanned one after another, straight on to their verdicts."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import NotFound, TacksideError
from tackside.messages.message import Message
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.settings_form import FIELDS as SETTINGS
from tackside.web.forms.settings_form import note_typed
from tackside.web.forms.stock_form import Filled
from tackside.web.routes.prints.guide import reading_form
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import is_part, page
from tackside.web.workbench import workbench_of
from tackside.workflow.scanners import scanner_names
from tackside.workflow.scanning.address import address_of
from tackside.workflow.scanning.found import FoundScanner, scanners_around
from tackside.workflow.scanning.scan import ScanOrder, used_scanners

router = APIRouter(tags=["guided test"])
FIELDS = ("do", "trial", "address", "other", "ppi", "whole", "scanner", "new_certificate", "after")
LISTEN_SECONDS = 3.0
_SHOWN = 8


@dataclass(frozen=True)
class ScannedSheet:
    """A sheet that was scanned from here before."""

    trial: str
    stock: str
    grade: str


@router.get("/scan")
def form_to_scan(request: Request, trial: str = "", job: str = "") -> Response:
    """Where a scanner is chosen. ``job``: a scan that is at work, or ended."""
    return _form(request, trial, job=job)


@router.get("/scan/around")
def around(request: Request) -> Response:
    """The scanners that are there, as the part of the form where one is chosen; by itself it is no page."""
    if not is_part(request):
        return RedirectResponse("/scan", status_code=303)
    fault: Message | None = None
    found: Sequence[FoundScanner] = ()
    try:
        found = scanners_around(LISTEN_SECONDS)
    except TacksideError as error:
        fault = error.message
    offered = _offered(workbench_of(request).bench, found)
    return page(request, "guide/_scanners.html", offered=offered, found=found, chosen="", fault=fault)


@router.post("/scan", openapi_extra=documented(*FIELDS, *SETTINGS))
def scan(request: Request, form: FormOf) -> Response:
    """Look for scanners, or have the sheet on the glass scanned, read and judged."""
    workbench = workbench_of(request)
    named = form.get("trial")[:40]
    of = workbench.bench.trials.get(named) if named else None
    trial = of.id if of is not None else None
    if of is not None and form.get("after"):  # from beside its settings, which are noted with it
        noted = note_typed(workbench.bench, of, form)
        if noted.faults:
            return reading_form(request, workbench.bench.trials.get(of.id), noted, 422)
    try:
        if form.get("do") == "find":
            return _form(request, named, form, found=scanners_around(LISTEN_SECONDS))
        order = _order(form)
    except TacksideError as error:
        return _form(request, named, form, fault=error.message, status=status_of(error))
    asked = {
        "order": order.as_data(), "trial": trial, "scanner": form.get("scanner")[:200] or None, "at": time.time(),
    }  # fmt: skip
    job = workbench.bench.jobs.add("scan", asked, subject=trial)
    workbench.wake()
    if is_part(request):
        return page(request, "jobs/_job.html", job=job, then=True)
    further = f"&trial={trial}" if trial else ""
    return RedirectResponse(f"/scan?job={job.id}{further}", status_code=303)


def _order(form: Form) -> ScanOrder:
    """Raises BadRequest where what was typed is no scanner's address."""
    typed, chosen = form.get("other")[:300], form.get("address")[:300]
    address = address_of(typed or chosen) if typed or chosen else None
    return ScanOrder(
        address,
        None if typed else form.get(f"name {chosen}")[:100] or None,
        600 if form.get("ppi") == "600" else 300,
        bool(form.get("whole")),
        bool(form.get("new_certificate")),
    )


def _form(
    request: Request,
    named: str,
    form: Form | None = None,
    *,
    job: str = "",
    found: Sequence[FoundScanner] | None = None,
    fault: Message | None = None,
    status: int = 200,
) -> Response:
    bench = workbench_of(request).bench
    trial = bench.trials.get(named) if named else None
    shown = _job(bench, job)
    filled = form.typed() if form else _values_of(shown)
    offered = _offered(bench, found or ())
    if form is None and filled.get("address") not in ("", *(each.address for each in offered)):
        filled["other"] = filled.get("address", "")  # typed, and no scan came of it yet
    is_new = (
        shown is not None and shown.fault is not None and shown.fault.code == "scanning.other-certificate"
    )
    return page(
        request, "guide/scan.html", status=status, trial=trial, job=shown, form=Filled(filled), found=found,
        offered=offered, chosen=filled.get("address", ""), fault=fault, asks_certificate=is_new,
        scanners=[(name, name) for name in scanner_names(bench)], done=_done(bench) if trial is None else [],
    )  # fmt: skip


def _offered(bench: Bench, found: Sequence[FoundScanner]) -> list[FoundScanner]:
    """Those used before, the last first, then those found beside them."""
    used = [FoundScanner(each.name, each.address, "") for each in used_scanners(bench)[:_SHOWN]]
    known = {each.address for each in used}
    return [*used, *(each for each in found if each.address not in known)]


def _job(bench: Bench, job: str) -> Job | None:
    try:
        found = bench.jobs.get(job) if job else None
    except NotFound:
        return None
    return found if found is not None and found.kind == "scan" else None


def _values_of(job: Job | None) -> dict[str, str]:
    """What was chosen for the scan that is shown, for the next."""
    if job is None:
        return {}
    order = job.asked["order"]
    return {
        "address": order["scanner"] or "", "ppi": str(order["ppi"]), "whole": "1" if order["whole_glass"] else "",
        "scanner": job.asked.get("scanner") or "",
    }  # fmt: skip


def _done(bench: Bench) -> list[ScannedSheet]:
    """The sheets that were scanned without a trial named, the last first."""
    results = [
        job.result for job in bench.jobs.list(kind="scan", count=_SHOWN) if job.result and not job.subject
    ]
    return [
        ScannedSheet(each["trial"], bench.trials.get(each["trial"]).stock, str(each.get("grade", "")))
        for each in results
        if "trial" in each
    ]
