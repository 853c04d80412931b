"""The password, where others are let in."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.messages.message import Message
from tackside.web.forms.received import FormOf, documented
from tackside.web.safety.gate import SESSION_COOKIE, SESSION_SECONDS
from tackside.web.shell.coming_back import own_path
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["pages"])


@router.get("/enter")
def ask(request: Request, back: str = "/") -> Response:
    if workbench_of(request).gate.lets_in(request.cookies.get(SESSION_COOKIE)):
        return RedirectResponse(own_path(back), status_code=303)
    return page(request, "enter/enter.html", back=own_path(back), fault=None)


@router.post("/enter", openapi_extra=documented("password", "back"))
def enter(request: Request, form: FormOf) -> Response:
    """Give the password. Five wrong ones from one address and it has to wait."""
    gate, back = workbench_of(request).gate, own_path(form.get("back", "/"))
    if not gate.is_shut:
        return RedirectResponse(back, status_code=303)
    address = request.client.host if request.client else ""
    wait = gate.wait_seconds(address)
    if wait:
        shown = page(
            request, "enter/enter.html", status=429, back=back,
            fault=Message("form.too-many-wrong-passwords", seconds=wait),
        )  # fmt: skip
        shown.headers["retry-after"] = str(wait)
        return shown
    session = gate.enter(form.get("password"), address)
    if session is None:
        fault = Message("form.wrong-password")
        return page(request, "enter/enter.html", status=403, back=back, fault=fault)
    answer = RedirectResponse(back, status_code=303)
    answer.set_cookie(
        SESSION_COOKIE, session, max_age=int(SESSION_SECONDS), httponly=True, samesite="strict",
        secure=request.url.scheme == "https",
    )  # fmt: skip
    return answer


@router.post("/leave", openapi_extra=documented())
def leave(request: Request, form: FormOf) -> Response:
    workbench_of(request).gate.leave(request.cookies.get(SESSION_COOKIE))
    answer = RedirectResponse("/enter", status_code=303)
    answer.delete_cookie(SESSION_COOKIE)
    return answer
