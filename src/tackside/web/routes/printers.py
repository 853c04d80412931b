"""Printers: the list, a page each with its history, describing and editing, putting away."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.messages.message import Message
from tackside.records import Printer
from tackside.web.forms.printer_form import FIELDS, printer_from, printer_values
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.revision import keep_revision, revision_number
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.coming_back import own_path, path_with
from tackside.web.shell.keys import key_of, name_of, plain_key
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.facts import feed_facts, printer_facts
from tackside.web.views.next_step import button
from tackside.web.workbench import workbench_of
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.stocks.describe import doubts_of

router = APIRouter(tags=["printers"])


@router.get("/printers")
def printers(request: Request, query: ListQueryOf) -> Response:
    """All printers: searched and sorted."""
    lines, total = workbench_of(request).bench.catalogue.printers(query.asked)
    template = "printers/_lines.html" if is_part(request) else "printers/list.html"
    return page(request, template, lines=lines, total=total, query=query)


@router.get("/describe/printer")
def describe(request: Request, then: str = "", stock: str = "", back: str = "") -> Response:
    """An empty form. ``back`` is the page that goes on with the printer, once it is kept."""
    return _form(request, Filled(printer_values(None, person_at(request))), then=then, stock=stock, back=back)


@router.post("/describe/printer", openapi_extra=documented(*FIELDS, "units", "then", "stock", "sure", "back"))
def keep_new(request: Request, form: FormOf) -> Response:
    """Keep a new printer."""
    return _keep(request, form, None)


@router.get("/printers/{key}")
def show(request: Request, key: str, kept: int = 0) -> Response:
    """One printer: facts, feeds, trials, history."""
    bench, person, name = workbench_of(request).bench, person_at(request), name_of(key)
    history = bench.printers.history(name)
    printer = history[-1].record
    trials, count = bench.catalogue.trials(ListAsked(printer=name, count=12))
    return page(
        request, "printers/show.html", printer=printer, history=history[::-1], trials=trials, count=count, kept=kept,
        facts=printer_facts(printer, person), feeds=[(feed.name, feed_facts(feed, person)) for feed in printer.feeds],
        archived=bench.catalogue.is_archived("printer", name),
        onward=button(steps_after("printer", bench, printer=name)[0], person),
    )  # fmt: skip


@router.get("/printers/{key}/edit")
def edit(request: Request, key: str, back: str = "") -> Response:
    kept = workbench_of(request).bench.printers.kept(name_of(key))
    values = {**printer_values(kept.record, person_at(request)), "after": str(kept.number)}
    return _form(request, Filled(values), printer=kept.record, back=back)


@router.post("/printers/{key}/edit", openapi_extra=documented(*FIELDS, "units", "after", "sure", "back"))
def keep_edit(request: Request, key: str, form: FormOf) -> Response:
    """Keep an edited printer as a new revision."""
    return _keep(request, form, workbench_of(request).bench.printers.get(name_of(key)))


@router.post("/printers/{key}/bring-back", openapi_extra=documented("revision", "after"))
def bring_back(request: Request, key: str, form: FormOf) -> Response:
    """Make an earlier revision the newest again."""
    shelf, name = workbench_of(request).bench.printers, name_of(key)
    record = shelf.get(name, revision_number(form.get("revision")))
    added = shelf.add(record, after=revision_number(form.get("after")))
    return RedirectResponse(f"/printers/{key_of(name)}?kept={added.revision}", status_code=303)


@router.post("/printers/{key}/archive", openapi_extra=documented("archived"))
def archive(request: Request, key: str, form: FormOf) -> Response:
    """Put a printer away from the lists, or take it out again."""
    bench, name = workbench_of(request).bench, name_of(key)
    bench.printers.get(name)
    bench.catalogue.archive("printer", name, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/printers/{key_of(name)}", status_code=303)


def _keep(request: Request, form: Form, before: Printer | None) -> Response:
    shelf, then, stock = workbench_of(request).bench.printers, form.get("then"), form.get("stock")
    back = own_path(form.get("back"), "")
    found = printer_from(form, person_at(request))
    if isinstance(found, Filled):
        return _form(request, found, printer=before, then=then, stock=stock, back=back, status=422)
    if before is not None and found.name != before.name:
        fault = Message("form.printer-keeps-its-name")
        return _form(request, Filled(form.typed(), {"name": fault}), printer=before, back=back, status=422)
    doubts = tuple(each.message for each in doubts_of(found))
    if doubts and form.get("sure") != "yes":
        doubtful = Filled(form.typed(), doubts=doubts)
        return _form(request, doubtful, printer=before, then=then, stock=stock, back=back, status=422)
    kept = keep_revision(shelf, found, form, edited=before is not None)
    if isinstance(kept, tuple):
        return _form(request, kept[0], printer=before, then=then, stock=stock, back=back, status=kept[1])
    if back:
        return RedirectResponse(path_with(back, printer=plain_key(found.name)), status_code=303)
    if then == "test" and stock:
        return RedirectResponse(
            f"/test/fit?stock={key_of(name_of(stock))}&printer={key_of(found.name)}", status_code=303
        )
    return RedirectResponse(f"/printers/{key_of(found.name)}?kept={kept}", status_code=303)


def _form(
    request: Request, form: Filled, *, printer: Printer | None = None, then: str = "", stock: str = "",
    back: str = "", status: int = 200,
) -> Response:  # fmt: skip
    rows = max(
        [int(name[4]) + 1 for name, value in form.values.items() if name.startswith("feed") and value] or [1]
    )
    return page(
        request, "printers/form.html", status=status, form=form, printer=printer, then=then, stock=stock,
        back=own_path(back, ""), rows=min(rows + 1, 6) if printer or rows > 1 else rows,
    )  # fmt: skip
