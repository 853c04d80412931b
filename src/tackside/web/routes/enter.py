"""The way in: the key in the address that is opened or, where others are let in, the password."""

from __future__ import annotations

import logging

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.messages.message import Message
from tackside.web.forms.received import FormOf, documented
from tackside.web.safety.gate import KNOWN_SECONDS, Attempt
from tackside.web.shell.coming_back import own_path
from tackside.web.shell.pages import page
from tackside.web.workbench import Workbench, workbench_of

router = APIRouter(tags=["pages"])
log = logging.getLogger(__name__)


@router.get("/open")
def open_by_address(request: Request, key: str = "", back: str = "/") -> Response:
    """Exchange the key in the address for a session, and go on to an address without it.

    The page leads on by itself: a browser that came from a file or from another program sends a strict cookie only
    where one of our own pages leads.
    """
    workbench, back = workbench_of(request), own_path(back)
    session = workbench.gate.open_with(key)
    if session is None:
        return _asked(request, back, Message("form.wrong-key"), 403)
    shown = page(request, "enter/opened.html", back=back)
    _let_in(request, shown, workbench, session)
    return shown


@router.get("/enter")
def ask(request: Request, back: str = "/") -> Response:
    gate = workbench_of(request).gate
    if gate.lets_in(request.cookies.get(gate.cookie)):
        return RedirectResponse(own_path(back), status_code=303)
    return _asked(request, own_path(back))


@router.post("/enter", openapi_extra=documented("password", "back"))
def enter(request: Request, form: FormOf) -> Response:
    """Give the password. Five wrong ones from one address, or one browser known from before, and it has to wait."""
    workbench, back = workbench_of(request), own_path(form.get("back", "/"))
    gate = workbench.gate
    if not gate.has_password:
        return RedirectResponse(back, status_code=303)
    address = request.client.host if request.client else ""
    attempt = gate.enter(form.get("password"), address, request.cookies.get(gate.known_cookie))
    log.warning("%s: %s", _said(attempt), address)
    if attempt.refusal is not None:
        shown = _asked(request, back, attempt.refusal, 503 if attempt.is_busy else 429)
        shown.headers["retry-after"] = str(attempt.wait_seconds)
        return shown
    if attempt.session is None:
        return _asked(request, back, Message("form.wrong-password"), 403)
    answer = RedirectResponse(back, status_code=303)
    _let_in(request, answer, workbench, attempt.session)
    answer.set_cookie(
        gate.known_cookie, attempt.known or "", max_age=KNOWN_SECONDS, path="/enter", httponly=True, samesite="strict",
        secure=request.url.scheme == "https",
    )  # fmt: skip
    return answer


@router.post("/leave", openapi_extra=documented())
def leave(request: Request, form: FormOf) -> Response:
    gate = workbench_of(request).gate
    gate.leave(request.cookies.get(gate.cookie))
    answer = RedirectResponse("/enter", status_code=303)
    answer.delete_cookie(gate.cookie)
    return answer


def _said(attempt: Attempt) -> str:
    """For whoever looks after the program, in its terminal."""
    if attempt.session is not None:
        return "signed in"
    return "told to wait before a password is looked at" if attempt.wait_seconds else "a wrong password"


def _asked(request: Request, back: str, fault: Message | None = None, status: int = 200) -> Response:
    template = "enter/enter.html" if workbench_of(request).gate.has_password else "enter/key.html"
    return page(request, template, status=status, back=back, fault=fault)


def _let_in(request: Request, answer: Response, workbench: Workbench, session: str) -> None:
    answer.set_cookie(
        workbench.gate.cookie, session, max_age=int(workbench.gate.session_seconds), httponly=True, samesite="strict",
        secure=request.url.scheme == "https",
    )  # fmt: skip
