"""Printers on the network: looked for, and asked what they can do, which is kept."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, Request
from starlette.responses import Response

from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of
from tackside.workflow.stocks.ask_printer import Announced, AskedPrinter, ask_nearby, printers_around

router = APIRouter(tags=["printers"])
LISTEN_SECONDS = 3.0


@router.get("/describe/printer/ask")
def form_to_ask(request: Request) -> Response:
    """Where a printer is looked for, or its address typed."""
    return _form(request)


@router.post("/describe/printer/ask", openapi_extra=documented("do", "address", "name"))
def ask(request: Request, form: FormOf) -> Response:
    """Look for printers, or ask one and keep what it tells."""
    bench = workbench_of(request).bench
    try:
        if form.get("do") == "find":
            return _form(request, form, found=printers_around(LISTEN_SECONDS))
        return _form(
            request, form, asked=ask_nearby(bench, form.get("address")[:300], form.get("name")[:80] or None)
        )
    except TacksideError as error:
        return _form(request, form, fault=error.message, status=status_of(error))


def _form(
    request: Request,
    form: Form | None = None,
    *,
    found: Sequence[Announced] | None = None,
    asked: AskedPrinter | None = None,
    fault: Message | None = None,
    status: int = 200,
) -> Response:
    values = form.typed() if form else {}
    return page(
        request,
        "printers/ask.html",
        status=status,
        form=Filled(values),
        found=found,
        asked=asked,
        fault=fault,
    )
