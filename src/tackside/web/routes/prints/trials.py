"""Trials: the list, a page each with its verdict and evidence, settings, history."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.store import Bench
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.records import Trial
from tackside.web.forms.judge_form import FIELDS as JUDGE_FIELDS
from tackside.web.forms.judge_form import asked_in, choices_for, refused, values_of
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import FormOf, documented
from tackside.web.forms.settings_form import FIELDS, note_typed, settings_values
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.facts import settings_facts
from tackside.web.views.patches import patch_lines
from tackside.web.views.scan import scans_of
from tackside.web.views.trial import findings_of, verdict_view
from tackside.web.workbench import workbench_of
from tackside.workflow.judge import judge_print, said_by_eye
from tackside.workflow.profiles.offered import why_not_built
from tackside.workflow.sides import FoundSide, printable_side
from tackside.workflow.standing.history import history_of

router = APIRouter(tags=["trials"])


@router.get("/trials")
def trials(request: Request, query: ListQueryOf) -> Response:
    """All trials: searched, sorted, filtered."""
    bench = workbench_of(request).bench
    lines, total = bench.catalogue.trials(query.asked)
    if is_part(request):
        return page(request, "trials/_lines.html", lines=lines, total=total, query=query)
    printers = bench.catalogue.names("printer")
    return page(request, "trials/list.html", lines=lines, total=total, query=query, printers=printers)


@router.get("/trials/{trial_id}")
def show(
    request: Request, trial_id: str, show: str = "", scan: str = "", kept: int = 0, other: str = "",
    withdrawn: str = "",
) -> Response:  # fmt: skip
    """One trial: the verdict with its evidence, the scan with what was found, settings, history.

    ``other`` is a trial of the card's other side: then the page also says which side takes ink. ``withdrawn`` is a
    reading that was just withdrawn, to be put back at once.
    """
    return _trial_page(request, trial_id, show=show, scan=scan, kept=kept, other=other, withdrawn=withdrawn)


def _trial_page(
    request: Request,
    trial_id: str,
    *,
    show: str = "",
    scan: str = "",
    kept: int = 0,
    other: str = "",
    withdrawn: str = "",
    judging: Filled | None = None,
) -> Response:
    workbench, person = workbench_of(request), person_at(request)
    bench = workbench.bench
    trial = bench.trials.get(trial_id)
    if trial.id != trial_id:  # typed with small letters or look-alikes
        return RedirectResponse(f"/trials/{trial.id}", status_code=303)
    told = history_of(bench, trial.id)
    reading, verdict = findings_of(told)
    if reading is None and not told.readings and told.withdrawal is None:
        place = f"/practice/{trial.id}" if trial.practice else f"/trials/{trial.id}/print"
        return RedirectResponse(place, status_code=303)
    history = bench.trials.settings_history(trial.id)[::-1]
    if reading is None:
        return page(request, "trials/withdrawn.html", trial=trial, told=told, history=history)
    return page(
        request, "trials/show.html", status=422 if judging else 200, trial=trial, reading=reading,
        view=None if verdict is None else verdict_view(verdict, reading, trial, show, person), show=show,
        scans=scans_of(workbench, trial, reading, show, scan), told=told,
        by_eye=None if told.by_eye is None else said_by_eye(told.by_eye),
        settings=settings_facts(trial.settings, person), history=history,
        archived=bench.catalogue.is_archived("trial", trial.id), kept=kept, beside=choices_for(bench, trial),
        judging=judging or Filled(values_of(verdict)), side=_side_found(bench, trial, other),
        why_no_profile=why_not_built(bench, trial.id),
        undo=next((each.reading.id for each in told.readings if each.withdrawal and each.reading.id == withdrawn), ""),
    )  # fmt: skip


def _side_found(bench: Bench, trial: Trial, other: str) -> FoundSide | None:
    if not other:
        return None
    pair = (trial.id, other) if trial.side == "front" else (other, trial.id)
    return printable_side(bench, trial.stock, trials=pair)


@router.get("/trials/{trial_id}/patches")
def patches(request: Request, trial_id: str) -> Response:
    """All patches of the reading that stands, as a table."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    reading = bench.readings.standing(trial.id)
    template = "trials/_patches.html" if is_part(request) else "trials/patches.html"
    return page(request, template, trial=trial, lines=patch_lines(reading, person_at(request)))


@router.post("/trials/{trial_id}/judge", openapi_extra=documented(*JUDGE_FIELDS))
def judge_again(request: Request, trial_id: str, form: FormOf) -> Response:
    """Judge the reading that stands, beside what the form names: a good print or a profile, the other side."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    asked = asked_in(form, bench)
    try:
        judged = judge_print(bench, trial.id, **asked)
    except (BadProfile, BadRequest) as error:
        return _trial_page(request, trial.id, judging=refused(form, error))
    other = judged.known.other_side
    beside = f"?other={other.trial.id}" if other is not None and other.trial is not None else ""
    return RedirectResponse(f"/trials/{trial.id}{beside}", status_code=303)


@router.get("/trials/{trial_id}/settings")
def settings(request: Request, trial_id: str) -> Response:
    """The form of how a sheet was printed."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    known = bench.trials.settings_history(trial.id)
    values = {**settings_values(trial.settings), "after": str(known[-1].revision)}
    return page(
        request,
        "trials/settings.html",
        trial=trial,
        form=Filled(values),
        media=_media(request, trial.printer),
    )


@router.post(
    "/trials/{trial_id}/settings",
    openapi_extra=documented(*FIELDS, "after", "then"),
)
def keep_settings(request: Request, trial_id: str, form: FormOf) -> Response:
    """Note how a sheet was printed. What was noted before is kept as history."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    noted = note_typed(bench, trial, form)
    status = 200 if not noted.faults else 409 if "" in noted.faults else 422
    if is_part(request):
        return page(request, "guide/_noted.html", status=status, form=noted)
    if noted.faults:
        media = _media(request, trial.printer)
        return page(request, "trials/settings.html", status=status, trial=trial, form=noted, media=media)
    then = "/read" if form.get("then") == "read" else "?kept=1"
    return RedirectResponse(f"/trials/{trial.id}{then}", status_code=303)


@router.post("/trials/{trial_id}/archive", openapi_extra=documented("archived"))
def archive(request: Request, trial_id: str, form: FormOf) -> Response:
    """Put a trial away from the lists, or take it out again."""
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    bench.catalogue.archive("trial", trial.id, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/trials/{trial.id}", status_code=303)


def _media(request: Request, printer: str) -> tuple[str, ...]:
    """Media settings that the printer's record names, as suggestions."""
    try:
        return workbench_of(request).bench.printers.get(printer).media_settings
    except NotFound:
        return ()
