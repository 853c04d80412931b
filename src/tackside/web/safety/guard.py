"""The guard at the door: every request passes it before any route, and every answer on its way out."""

from __future__ import annotations

from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.types import Message as Event

from tackside.messages.message import Message
from tackside.web.i18n.preferences import person_of
from tackside.web.safety.csrf import HEADER, SEAT_COOKIE, holds, is_seat, new_seat, token_for
from tackside.web.safety.hosts import SAFE_METHODS, is_known_host, is_own_origin
from tackside.web.safety.policy import HEADERS
from tackside.web.shell.fault_document import fault_document
from tackside.web.workbench import Workbench

# What is shown to whoever has not entered yet: the form itself and what makes it look right.
OPEN_PATHS = ("/enter", "/open", "/assets/")
YEAR_SECONDS = 365 * 24 * 3600
NO_PASSWORD, NO_KEY = Message("form.no-password"), Message("form.no-key")
NO_TOKEN, TOO_LARGE = Message("form.no-token"), Message("form.too-large")
# A record as JSON, or a form without files. Forms with files are bounded as their parts come in.
MOST_BODY_BYTES = 1024 * 1024
SMALL_BODY_BYTES = 64 * 1024


class Guard:
    """ASGI middleware: host, origin, session, seat, token, size, headers; what it learns stands in ``request.state``.

    All of it is looked at in the head of a request, before a byte of its body is read.
    """

    def __init__(self, app: ASGIApp, workbench: Workbench) -> None:
        self._app = app
        self._workbench = workbench

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "websocket":  # there are none here
                await send({"type": "websocket.close", "code": 1008})
                return
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        cookies = _cookies(headers)
        seat = cookies.get(SEAT_COOKIE)
        fresh = None if is_seat(seat) else new_seat()
        seat = fresh or seat or ""
        secret = self._workbench.secret
        scope.setdefault("state", {}).update(
            seat=seat,
            csrf=token_for(seat, secret),
            token_held=(held := holds(headers.get(HEADER, ""), seat, secret)),
            person=person_of(cookies, headers.get("accept-language", "")),
        )
        refusal = self._refusal(scope, headers, cookies) or _oversize(scope, headers, token_held=held)
        if refusal is not None and _brings_much(headers):
            refusal.headers["connection"] = "close"  # the server would read it to its end, for nothing
        is_secure = scope.get("scheme") == "https"

        async def send_guarded(message: Event) -> None:
            if message["type"] == "http.response.start":
                found = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    found.setdefault(name, value)
                if fresh is not None and not scope["path"].startswith("/assets/"):
                    found.append("set-cookie", _seat_cookie(fresh, is_secure=is_secure))
            await send(message)

        await (refusal or self._app)(scope, _bounded(scope, headers, receive), send_guarded)

    def _refusal(self, scope: Scope, headers: Headers, cookies: Mapping[str, str]) -> Response | None:
        options = self._workbench.options
        path, method = scope["path"], scope["method"]
        if not is_known_host(headers.get("host", ""), options.hosts, any_address=options.any_address):
            return PlainTextResponse(
                "Tackside does not answer to this name; open it by the address that it printed when it started.\n",
                status_code=421,
            )
        if not is_own_origin(method, headers):
            return PlainTextResponse(
                "This request came from a page of another site and was refused; nothing was changed.\n",
                status_code=403,
            )
        gate = self._workbench.gate
        if gate.lets_in(cookies.get(gate.cookie)) or path.startswith(OPEN_PATHS):
            return None
        if path.startswith("/api/"):
            return _told(NO_PASSWORD if gate.has_password else NO_KEY, 401)
        back = quote(path) if method in SAFE_METHODS else "/"
        return RedirectResponse(f"/enter?back={back}", status_code=303)


def _oversize(scope: Scope, headers: Headers, *, token_held: bool) -> Response | None:
    """What the head of a request alone shows to be wrong with its body."""
    if scope["method"] in SAFE_METHODS:
        return None
    is_api = scope["path"].startswith("/api/")
    if is_api and not token_held:
        return _told(NO_TOKEN, 403)
    given = headers.get("content-length", "0")
    if not _has_files(headers) and (
        not given.isascii() or not given.isdigit() or int(given) > MOST_BODY_BYTES
    ):
        return _told(TOO_LARGE, 413) if is_api else PlainTextResponse("This is too large.\n", 413)
    return None


def _bounded(scope: Scope, headers: Headers, receive: Receive) -> Receive:
    """The body of a request, cut off where it grows larger than its head said, or said nothing."""
    if _has_files(headers):
        return receive
    size = 0

    async def receive_bounded() -> Event:
        nonlocal size
        event = await receive()
        size += len(event.get("body", b""))
        return {"type": "http.disconnect"} if size > MOST_BODY_BYTES else event

    return receive_bounded


def _brings_much(headers: Headers) -> bool:
    given = headers.get("content-length", "0")
    return "transfer-encoding" in headers or not given.isdigit() or int(given) > SMALL_BODY_BYTES


def _has_files(headers: Headers) -> bool:
    return headers.get("content-type", "").lower().lstrip().startswith("multipart/form-data")


def _told(fault: Message, status: int) -> Response:
    return JSONResponse(fault_document(fault, None), status_code=status)


def _cookies(headers: Headers) -> Mapping[str, str]:
    try:
        return {name: each.value for name, each in SimpleCookie(headers.get("cookie", "")).items()}
    except CookieError:
        return {}


def _seat_cookie(seat: str, *, is_secure: bool) -> str:
    secure = "; Secure" if is_secure else ""
    return f"{SEAT_COOKIE}={seat}; Path=/; Max-Age={YEAR_SECONDS}; HttpOnly; SameSite=Strict{secure}"
