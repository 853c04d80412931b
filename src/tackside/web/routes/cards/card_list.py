"""A kept card for each row of a list: the list taken in, any row looked at, the files of all made."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, RedirectResponse, Response

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound, TacksideError
from tackside.messages.message import Message
from tackside.web.forms.card_form import design_of
from tackside.web.forms.received import FormOf, documented
from tackside.web.routes.cards.cards import check_of
from tackside.web.routes.prints.scans import KEEP
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.keys import key_of, name_of
from tackside.web.shell.pages import page, person_at
from tackside.web.views.cards.card import FACES, CardView, card_view
from tackside.web.workbench import workbench_of
from tackside.workflow.cards.kept import images_of, parts_of, words_left
from tackside.workflow.cards.make_list import KeptList, list_of, refuse_faulty_rows, row_on_card

router = APIRouter(tags=["cards"])
MOST_LAID_OUT = 200  # rows that the page looks at; a longer list is looked at when its cards are asked for
FILED = ("one", "apart", "single")
MEDIA_TYPES = {"pdf": "application/pdf", "zip": "application/zip"}


@router.get("/cards/{key}/list")
def show(request: Request, key: str, csv: str = "", name: str = "", row: int = 1) -> Response:
    """The list, the card of one of its rows as it would come out, and the files that were made."""
    return _shown(request, name_of(key), csv, name, row)


@router.post("/cards/{key}/list", openapi_extra=documented(files=True))
def take(request: Request, key: str, form: FormOf) -> Response:
    """Take a list in."""
    bench, card = workbench_of(request).bench, name_of(key)
    bench.cards.get(card)
    if not form.files:
        raise NotFound("card-rows.no-list-chosen")
    first = form.files[0]
    sha256 = bench.keep_file(first.path, first.name)
    return RedirectResponse(
        f"/cards/{key_of(card)}/list?csv={sha256}&name={key_of(first.name)}", status_code=303
    )


@router.post("/cards/{key}/list/make", openapi_extra=documented("csv", "name", "filed", "meant", "row"))
def make(request: Request, key: str, form: FormOf) -> Response:
    """Have the files of all rows made; all rows that are at fault are told at once."""
    workbench, card = workbench_of(request), name_of(key)
    kept, person = workbench.bench.cards.kept(card), person_at(request)
    csv, name, filed = form.get("csv"), form.get("name")[:200] or "list.csv", form.get("filed") or "one"
    row = int(form.get("row")) if form.get("row").isdigit() else 1
    words, meant = words_left(kept.record), form.get("meant") == "yes"
    try:
        refuse_faulty_rows(workbench.bench, kept.record, csv, name)
        if filed not in FILED:
            raise BadRequest("card-rows.no-list-chosen")
        if words and not meant:
            raise BadRequest(
                "card-remark.sample-words", words=[f'"{" ".join(each.split())}"' for each in words]
            )
    except TacksideError as error:
        return _shown(request, card, csv, name, row, fault=error.message, status=status_of(error))
    asked = {
        "card": card, "revision": kept.number, "list": [csv, name], "filed": filed, "meant": meant,
        "titles": {face: person.say(title) for face, title in FACES.items()},
    }  # fmt: skip
    workbench.bench.jobs.add("card-list", asked, subject=card)
    workbench.runner.wake()
    return RedirectResponse(
        f"/cards/{key_of(card)}/list?csv={csv}&name={key_of(name)}&row={row}", status_code=303
    )


@router.get("/cards/{key}/list/made/{job_id}/{file}", response_class=FileResponse)
def made(request: Request, key: str, job_id: str, file: str) -> FileResponse:
    """The cards of a list: ``cards.pdf``, or ``cards.zip`` with a PDF for each of them."""
    bench = workbench_of(request).bench
    job = bench.jobs.get(job_id)
    files = (job.result or {}).get("files", {})
    if job.kind != "card-list" or job.subject != name_of(key) or file not in files:
        raise NotFound("card.file-not-made")
    media_type = MEDIA_TYPES[file.rsplit(".", 1)[1]]
    return FileResponse(bench.file(files[file]), media_type=media_type, filename=file, headers=KEEP)


def _shown(
    request: Request,
    card: str,
    csv: str,
    name: str,
    row: int,
    *,
    fault: Message | None = None,
    status: int = 200,
) -> Response:
    bench = workbench_of(request).bench
    kept = bench.cards.kept(card)
    parts = parts_of(kept.record)
    jobs = bench.jobs.list(subject=card, kind="card-list", count=20)
    newest = jobs[0] if jobs else None
    done = next((each for each in jobs if each.result is not None), None)
    if not csv and done is not None and done.result is not None:
        csv, name = done.result["list"]
    listed: KeptList | None = None
    drawn: CardView | None = None
    is_refused = False
    row = max(row, 1)
    if csv:
        try:
            listed = list_of(bench, parts, csv, name)
            row = min(row, len(listed.names))
            if len(listed.names) <= MOST_LAID_OUT:
                refuse_faulty_rows(bench, kept.record, csv, name)
        except TacksideError as error:
            fault, status, is_refused = fault or error.message, max(status, status_of(error)), True
        try:
            if listed is not None:
                drawn = _drawn(request, bench, card, row, listed)
        except TacksideError as error:
            fault, status = fault or error.message, max(status, status_of(error))
    return page(
        request, "cards/list_of_names.html", status=status, card=kept.record, base=f"/cards/{key_of(card)}", csv=csv,
        name=name, listed=listed, row=row, drawn=drawn, fault=fault,
        is_refused=is_refused, fault_rows=_each_row(fault), words=words_left(kept.record),
        job=newest if newest is not None and newest.result is None else None, made=done,
        remarks=[Message.of_data(each) for each in done.result["remarks"]] if done and done.result else (),
        is_older=done is not None and done.asked["revision"] != kept.number,
    )  # fmt: skip


def _each_row(fault: Message | None) -> list[Message]:
    """What is wrong with each of several rows."""
    told = () if fault is None or fault.code != "card-rows.several" else fault.value("faults")
    return [each for each in told if isinstance(each, Message)] if isinstance(told, (list, tuple)) else []


def _drawn(request: Request, bench: Bench, card: str, row: int, listed: KeptList) -> CardView:
    """The card of one row."""
    record = bench.cards.get(card)
    parts, images = row_on_card(parts_of(record), listed.rows, row), images_of(bench, record)
    outcome = check_of(request, parts, images, record.fonts)
    for error in outcome.faults.values():
        raise error
    return card_view(outcome, design_of(parts), images, f"/cards/{key_of(card)}", person_at(request))
