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
from tackside.web.safety.gate import SESSION_COOKIE
from tackside.web.safety.hosts import SAFE_METHODS, is_known_host, is_own_origin
from tackside.web.safety.policy import HEADERS
from tackside.web.shell.fault_document import fault_document
from tackside.web.workbench import Workbench

# What is shown to whoever has not entered yet: the form itself and what makes it look right.
OPEN_PATHS = ("/enter", "/assets/")
YEAR_SECONDS = 365 * 24 * 3600
NO_PASSWORD = Message("form.no-password")


class Guard:
    """ASGI middleware: host, origin, password, seat, headers; what it learns stands in ``request.state``."""

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
        refusal = self._refusal(scope, headers, cookies)
        seat = cookies.get(SEAT_COOKIE)
        fresh = None if is_seat(seat) else new_seat()
        seat = fresh or seat or ""
        secret = self._workbench.secret
        scope.setdefault("state", {}).update(
            seat=seat,
            csrf=token_for(seat, secret),
            token_held=holds(headers.get(HEADER, ""), seat, secret),
            person=person_of(cookies, headers.get("accept-language", "")),
        )
        is_secure = scope.get("scheme") == "https"

        async def send_guarded(message: Event) -> None:
            if message["type"] == "http.response.start":
                found = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    found.setdefault(name, value)
                if fresh is not None and not scope["path"].startswith("/assets/"):
                    found.append("set-cookie", _seat_cookie(fresh, is_secure=is_secure))
            await send(message)

        await (refusal or self._app)(scope, receive, send_guarded)

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
        if self._workbench.gate.lets_in(cookies.get(SESSION_COOKIE)) or path.startswith(OPEN_PATHS):
            return None
        if path.startswith("/api/"):
            return JSONResponse(fault_document(NO_PASSWORD, None), status_code=401)
        back = quote(path) if method in SAFE_METHODS else "/"
        return RedirectResponse(f"/enter?back={back}", status_code=303)


def _cookies(headers: Headers) -> Mapping[str, str]:
    try:
        return {name: each.value for name, each in SimpleCookie(headers.get("cookie", "")).items()}
    except CookieError:
        return {}


def _seat_cookie(seat: str, *, is_secure: bool) -> str:
    secure = "; Secure" if is_secure else ""
    return f"{SEAT_COOKIE}={seat}; Path=/; Max-Age={YEAR_SECONDS}; HttpOnly; SameSite=Strict{secure}"
