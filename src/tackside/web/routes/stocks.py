"""Card stocks: the list, a page each with its history, describing and editing, putting away."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.messages.message import Message
from tackside.records import Stock
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.revision import keep_revision, revision_number
from tackside.web.forms.stock_form import FIELDS, Filled, stock_from, stock_values
from tackside.web.shell.coming_back import own_path, path_with
from tackside.web.shell.keys import key_of, name_of, plain_key
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.facts import stock_facts
from tackside.web.workbench import workbench_of
from tackside.workflow.stocks.describe import doubts_of
from tackside.workflow.stocks.questions import FLAT, SHEET_SIZES

router = APIRouter(tags=["stocks"])


@router.get("/stocks")
def stocks(request: Request, query: ListQueryOf) -> Response:
    """All stocks: searched, sorted, filtered."""
    lines, total = workbench_of(request).bench.catalogue.stocks(query.asked)
    template = "stocks/_lines.html" if is_part(request) else "stocks/list.html"
    return page(request, template, lines=lines, total=total, query=query)


@router.get("/describe/stock")
def describe(request: Request, then: str = "", back: str = "") -> Response:
    """An empty form. ``back`` is the page that goes on with the card, once it is kept."""
    return _form(request, Filled(stock_values(None, person_at(request))), then=then, back=back)


@router.post("/describe/stock", openapi_extra=documented(*FIELDS, "units", "then", "sure", "back"))
def keep_new(request: Request, form: FormOf) -> Response:
    """Keep a new stock."""
    return _keep(request, form, None)


@router.get("/stocks/{key}")
def show(request: Request, key: str, kept: int = 0) -> Response:
    """One stock: facts, trials, history."""
    bench, name = workbench_of(request).bench, name_of(key)
    history = bench.stocks.history(name)
    trials, count = bench.catalogue.trials(ListAsked(stock=name, count=12))
    packed = [job.ended_at for job in bench.jobs.list(subject=name, kind="hand-on") if job.state == "done"]
    return page(
        request, "stocks/show.html", stock=history[-1].record, history=history[::-1], trials=trials, count=count,
        facts=stock_facts(history[-1].record, person_at(request)), kept=kept, packed=next(iter(packed), None),
        archived=bench.catalogue.is_archived("stock", name),
    )  # fmt: skip


@router.get("/stocks/{key}/edit")
def edit(request: Request, key: str, back: str = "") -> Response:
    kept = workbench_of(request).bench.stocks.kept(name_of(key))
    values = {**stock_values(kept.record, person_at(request)), "after": str(kept.number)}
    return _form(request, Filled(values), stock=kept.record, back=back)


@router.post("/stocks/{key}/edit", openapi_extra=documented(*FIELDS, "units", "after", "sure", "back"))
def keep_edit(request: Request, key: str, form: FormOf) -> Response:
    """Keep an edited stock as a new revision."""
    return _keep(request, form, workbench_of(request).bench.stocks.get(name_of(key)))


@router.post("/stocks/{key}/bring-back", openapi_extra=documented("revision", "after"))
def bring_back(request: Request, key: str, form: FormOf) -> Response:
    """Make an earlier revision the newest again. Nothing is lost: the one that was newest stays in the history."""
    shelf, name = workbench_of(request).bench.stocks, name_of(key)
    record = shelf.get(name, revision_number(form.get("revision")))
    added = shelf.add(record, after=revision_number(form.get("after")))
    return RedirectResponse(f"/stocks/{key_of(name)}?kept={added.revision}", status_code=303)


@router.post("/stocks/{key}/archive", openapi_extra=documented("archived"))
def archive(request: Request, key: str, form: FormOf) -> Response:
    """Put a stock away from the lists, or take it out again."""
    bench, name = workbench_of(request).bench, name_of(key)
    bench.stocks.get(name)
    bench.catalogue.archive("stock", name, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/stocks/{key_of(name)}", status_code=303)


def _keep(request: Request, form: Form, before: Stock | None) -> Response:
    person, shelf = person_at(request), workbench_of(request).bench.stocks
    then, back = form.get("then"), own_path(form.get("back"), "")
    found = stock_from(form, person, kept=before)
    if isinstance(found, Filled):
        return _form(request, found, stock=before, then=then, back=back, status=422)
    if before is not None and found.name != before.name:
        fault = Message("form.stock-keeps-its-name")
        return _form(request, Filled(form.typed(), {"name": fault}), stock=before, back=back, status=422)
    doubts = tuple(each.message for each in doubts_of(found, flat=form.get("folds") == FLAT))
    if doubts and form.get("sure") != "yes":
        return _form(
            request, Filled(form.typed(), doubts=doubts), stock=before, then=then, back=back, status=422
        )
    kept = keep_revision(shelf, found, form, edited=before is not None)
    if isinstance(kept, tuple):
        return _form(request, kept[0], stock=before, then=then, back=back, status=kept[1])
    if back:
        return RedirectResponse(path_with(back, stock=plain_key(found.name)), status_code=303)
    if then == "test":
        return RedirectResponse(f"/test/printer?stock={key_of(found.name)}", status_code=303)
    return RedirectResponse(f"/stocks/{key_of(found.name)}?kept={kept}", status_code=303)


def _form(
    request: Request,
    form: Filled,
    *,
    stock: Stock | None = None,
    then: str = "",
    back: str = "",
    status: int = 200,
) -> Response:
    return page(
        request,
        "stocks/form.html",
        status=status,
        form=form,
        stock=stock,
        then=then,
        back=own_path(back, ""),
        sizes=[person_at(request).say(each) for each in SHEET_SIZES],
    )
