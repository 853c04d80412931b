"""Test a card: the guided path from a card in the hand to its sheet and back to the scan."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.messages.message import Message
from tackside.records import Reading, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.settings_form import FIELDS, note_typed, settings_values
from tackside.web.forms.stock_form import Filled
from tackside.web.i18n import words
from tackside.web.shell.keys import name_of
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.cards.sending import sending_work
from tackside.web.views.fit import fit_view
from tackside.web.views.instructions import instructions
from tackside.web.workbench import workbench_of
from tackside.workflow.runs.sent_jobs import jobs_of
from tackside.workflow.scanners import scanner_names
from tackside.workflow.scanning.scan import used_scanners
from tackside.workflow.sent_files import SentFile
from tackside.workflow.stocks.fit import fit as fit_by_name
from tackside.workflow.stocks.fit import fit_of_trial
from tackside.workflow.trials import make_trial

router = APIRouter(tags=["guided test"])
Choice = TypeVar("Choice", bound=str)
SPACES: tuple[Space, ...] = ("srgb", "adobe-rgb")
PURPOSES: tuple[Purpose, ...] = ("path", "device")
SIDES: tuple[Side, ...] = ("front", "back")
CHART_SIZES = ("200", "500", "900")


@router.get("/test")
def card(request: Request, query: ListQueryOf) -> Response:
    """Step 1: which card."""
    asked = ListAsked(words=query.asked.words, sort="newest", count=12)
    lines, total = workbench_of(request).bench.catalogue.stocks(asked)
    template = "guide/_stocks.html" if is_part(request) else "guide/card.html"
    return page(request, template, lines=lines, total=total, query=query)


@router.get("/test/printer")
def printer(request: Request, stock: str = "") -> Response:
    """Step 2: which printer."""
    bench = workbench_of(request).bench
    chosen = bench.stocks.get(name_of(stock))
    lines, _ = bench.catalogue.printers(ListAsked(count=40))
    return page(request, "guide/printer.html", stock=chosen, lines=lines)


@router.get("/test/fit")
def fit(
    request: Request, stock: str = "", printer: str = "", side: str = "front", feed: str = "", purpose: str = "path",
    space: str = "srgb", patches: str = "", patch_mm: str = "",
) -> Response:  # fmt: skip
    """Step 3: what this printer can do with this card, drawn to scale."""
    bench = workbench_of(request).bench
    card, machine = bench.stocks.get(name_of(stock)), bench.printers.get(name_of(printer))
    way = next((each.name for each in machine.feeds if each.name == feed), None)
    face = _one(side, SIDES)
    found = fit_by_name(bench, card.name, machine.name, way, face)
    template = "guide/_fit.html" if is_part(request) else "guide/fit.html"
    values = {
        "side": face,
        "feed": way or "",
        "purpose": _one(purpose, PURPOSES),
        "space": _one(space, SPACES),
        "patches": _one(patches, ("", *CHART_SIZES)),
        "patch_mm": _one(patch_mm, ("", "8")),
    }
    return page(
        request, template, stock=card, printer=machine, fit=found, view=fit_view(found, machine, person_at(request)),
        form=Filled(values), words=words, chart_sizes=[(size, size) for size in CHART_SIZES],
    )  # fmt: skip


@router.post(
    "/test/sheet",
    openapi_extra=documented(
        "stock", "printer", "side", "feed", "purpose", "space", "patches", "patch_mm", files=True
    ),
)
def make_sheet(request: Request, form: FormOf) -> Response:
    """Make the trial and have its sheet drawn in the background. With ``patches`` it is the sheet for a profile.

    A file is a picture of the person's own, to stand on the sheet.
    """
    workbench = workbench_of(request)
    bench = workbench.bench
    trial = make_trial(
        bench,
        name_of(form.get("stock")),
        name_of(form.get("printer")),
        purpose=_one(form.get("purpose"), PURPOSES),
        space=_one(form.get("space"), SPACES),
        side=_one(form.get("side"), SIDES),
        feed=form.get("feed"),
        patches=_count(form.get("patches")),
        # Said of no patches, it has no meaning: the field stands on the page either way.
        patch_mm=8.0 if form.get("patches") and form.get("patch_mm") == "8" else None,
        picture=next((SentFile(each.path, each.name) for each in form.files if each.size), None),
    ).trial
    bench.jobs.add("sheet", {"trial": trial.id}, subject=trial.id)
    workbench.runner.wake()
    return RedirectResponse(f"/trials/{trial.id}/print", status_code=303)


@router.get("/trials/{trial_id}/print")
def print_it(request: Request, trial_id: str) -> Response:
    """Step 4: the sheet, and how to print it so that it can be read back."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    found = fit_of_trial(bench, trial)
    job = next(iter(bench.jobs.list(subject=trial.id, kind="sheet", count=1)), None)
    return page(
        request, "guide/print.html", jobs=jobs_of(bench, trial=trial.id), work=sending_work(bench, trial.id), run=None,
        trial=trial, fit=found, job=job,
        lines=instructions(trial, found, person_at(request)),
        warnings=[person_at(request).tell(each) for each in found.warnings],
    )  # fmt: skip


@router.get("/trials/{trial_id}/read")
def read_it(request: Request, trial_id: str) -> Response:
    """Step 5: how it was printed, and the scan or data file back."""
    trial = workbench_of(request).bench.trials.get(trial_id)
    return reading_form(request, trial, Filled(settings_values(trial.settings)), 200)


@router.post(
    "/trials/{trial_id}/read", openapi_extra=documented("device", "scanner", *FIELDS, "after", files=True)
)
def take_files(request: Request, trial_id: str, form: FormOf) -> Response:
    """Take scans and data files in, note the settings typed beside them, and have the files read as one reading."""
    workbench = workbench_of(request)
    bench = workbench.bench
    trial = bench.trials.get(trial_id)
    noted = note_typed(bench, trial, form) if form.get("after") else Filled({})
    if not form.files:
        noted.faults.setdefault("files", Message("reading.no-file"))
    if noted.faults and is_part(request):
        return page(request, "guide/_noted.html", status=422, form=noted)
    if noted.faults:
        return reading_form(request, bench.trials.get(trial.id), noted, 422)
    kept = [{"sha256": bench.keep_file(each.path, each.name), "name": each.name} for each in form.files]
    job = bench.jobs.add(
        "read",
        {"trial": trial.id, "files": kept, "device": form.get("device"), "scanner": form.get("scanner")},
        subject=trial.id,
    )
    workbench.runner.wake()
    if is_part(request):
        return page(request, "guide/_taken.html", job=job, then=True, form=noted)
    return RedirectResponse(f"/trials/{trial.id}/read", status_code=303)


def reading_form(request: Request, trial: Trial, form: Filled, status: int) -> Response:
    """The page of step 5: with the settings as they are noted, or as they were typed."""
    workbench = workbench_of(request)
    bench = workbench.bench
    job = next(iter(bench.jobs.list(subject=trial.id, kind="read", count=1)), None)
    readings = bench.readings.list(trial.id)
    devices = _devices(readings)
    asked = job.asked if job and job.state == "failed" else {}
    form.values.setdefault("after", str(bench.trials.settings_history(trial.id)[-1].revision))
    return page(
        request, "guide/read.html", status=status, trial=trial, form=form, readings=readings, devices=devices,
        job=job if job and (job.is_open or job.state == "failed") else None,
        device=form.values.get("device") or asked.get("device") or (devices[-1] if devices else ""),
        scanner=form.values.get("scanner") or asked.get("scanner") or "", scanners=scanner_names(bench),
        watched=workbench.options.watched,
        used_scanner=next(iter(used_scanners(bench)), None),
        media=bench.printers.get(trial.printer, trial.printer_revision).media_settings,
    )  # fmt: skip


@router.post("/trials/{trial_id}/sheet", openapi_extra=documented())
def draw_again(request: Request, trial_id: str, form: FormOf) -> Response:
    """Have the sheet's files drawn again."""
    workbench = workbench_of(request)
    trial = workbench.bench.trials.get(trial_id)
    workbench.bench.jobs.add("sheet", {"trial": trial.id}, subject=trial.id)
    workbench.runner.wake()
    return RedirectResponse(f"/trials/{trial.id}/print", status_code=303)


def _count(typed: str) -> int | None:
    """The number of patches; None where there is none."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 6 else None


def _one(value: str, known: tuple[Choice, ...]) -> Choice:
    """The choice that was made; the first where it is none of them."""
    return next((each for each in known if each == value), known[0])


def _devices(readings: Iterable[Reading]) -> tuple[str, ...]:
    """What scanners and instruments were called before, as suggestions. How a scan from here is called is no person's
    word, and a file that the scanner's own program made is not made alike."""
    said = (each.device for each in readings if each.scanned is None or each.device != each.scanned.label)
    return tuple(dict.fromkeys(device for device in said if device))
