"""The app that a phone sees: one page for one trial, and nothing else of the workbench."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from http.cookies import CookieError, SimpleCookie
from pathlib import Path
from urllib.parse import parse_qs, unquote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.types import Message as Event

from tackside.errors import BadRequest, TacksideError
from tackside.files.atomic import explain
from tackside.messages.message import Message
from tackside.web.forms.received import plain_name
from tackside.web.i18n.preferences import Person, person_of
from tackside.web.phone.door import PhoneDoor
from tackside.web.phone.told import fault_told, look_told, state_told
from tackside.web.safety.csrf import HEADER, holds
from tackside.web.safety.gate import SESSION_SECONDS
from tackside.web.safety.hosts import is_own_origin
from tackside.web.safety.policy import HEADERS
from tackside.web.shell.error_pages import status_of
from tackside.web.shell.pages import environment
from tackside.web.shell.static_files import Shipped, asset
from tackside.web.workbench import MEGABYTE, Workbench
from tackside.workflow.photo.read import look_at_photo
from tackside.workflow.prepared.photo_preview import jpeg_preview, require_size
from tackside.workflow.sent_files import SentFile

SESSION_COOKIE = "tackside_phone"
MOST_BYTES = 64 * MEGABYTE  # of one photograph
MOST_FORM_BYTES = 4096
ASSETS = (
    "css/bench.css", "css/phone.css", "js/phone.js", "mark.svg",
    "fonts/Cabin-Regular.woff2", "fonts/Cabin-Bold.woff2", "fonts/Cabin-Italic.woff2", "fonts/Vollkorn-Regular.woff2",
)  # fmt: skip


def phone_app(workbench: Workbench, door: PhoneDoor) -> ASGIApp:
    """The app behind one door."""
    at = f"/{door.token}"
    pages = _Pages(workbench, door)
    routes = [
        Route(f"{at}/", pages.show, methods=["GET"]),
        Route(f"{at}/enter", pages.enter, methods=["POST"]),
        Route(f"{at}/look", pages.look, methods=["POST"]),
        Route(f"{at}/preview.jpg", pages.preview, methods=["GET"]),
        Route(f"{at}/send", pages.send, methods=["POST"]),
        Route(f"{at}/state", pages.state, methods=["GET"]),
    ]
    app = Starlette(routes=routes, exception_handlers={404: _nothing, 405: _nothing})
    app.router.redirect_slashes = False
    app.mount("/assets", Shipped())
    return _Guard(app, door)


class _Guard:
    """Every request passes it: the door is open, the address is ours, the token is right; else nothing is told."""

    def __init__(self, app: ASGIApp, door: PhoneDoor) -> None:
        self._app, self._door = app, door
        self._assets = {asset(name): f"/assets/{name}" for name in ASSETS}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            return
        headers, path = Headers(scope=scope), scope["path"]

        async def send_guarded(message: Event) -> None:
            if message["type"] == "http.response.start":
                found = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    found.setdefault(name, value)
            await send(message)

        refusal: Response | None = None
        if not self._door.is_open:
            refusal = PlainTextResponse("This page is closed.\n", 410)
        elif headers.get("host", "").lower() != self._door.host:
            refusal = PlainTextResponse("Not here.\n", 421)
        elif not is_own_origin(scope["method"], headers):
            refusal = PlainTextResponse("Refused.\n", 403)
        elif path in self._assets:
            scope = {**scope, "path": self._assets[path], "raw_path": self._assets[path].encode()}
        elif not _is_under(path, self._door.token):
            refusal = PlainTextResponse("Nothing is here.\n", 404)
        await (refusal or self._app)(scope, receive, send_guarded)


class _Pages:
    def __init__(self, workbench: Workbench, door: PhoneDoor) -> None:
        self._workbench, self._door = workbench, door

    def show(self, request: Request) -> Response:
        """The password, or the guide."""
        return self._guide(request) if self._is_in(request) else self._password(request)

    async def enter(self, request: Request) -> Response:
        """Give the password. Five wrong ones from one address and it has to wait; twenty in all shut the door."""
        body = bytearray()
        async for chunk in request.stream():
            body += chunk
            if len(body) > MOST_FORM_BYTES:
                return PlainTextResponse("Too much.\n", 413)
        try:
            fields = parse_qs(body.decode("utf-8", "replace"), max_num_fields=8)
        except ValueError:
            return PlainTextResponse("Too much.\n", 413)
        if not holds(fields.get("csrf", [""])[0], self._door.seat, self._door.secret):
            return self._password(request, Message("form.page-too-old"), 403)
        return await run_in_threadpool(self._let_in, request, fields.get("password", [""])[0])

    def _let_in(self, request: Request, given: str) -> Response:
        door, address = self._door, request.client.host if request.client else ""
        attempt = door.gate.enter("".join(given.lower().split()), address)
        if attempt.refusal is not None:
            shown = self._password(request, attempt.refusal, 503 if attempt.is_busy else 429)
            shown.headers["retry-after"] = str(attempt.wait_seconds)
            return shown
        if attempt.session is None:
            door.wrong += 1
            return self._password(request, Message("phone.wrong-password"), 403)
        door.visit.entered = True
        answer = RedirectResponse(f"/{door.token}/", status_code=303)
        answer.set_cookie(
            SESSION_COOKIE, attempt.session, max_age=int(SESSION_SECONDS), path=f"/{door.token}/", httponly=True,
            samesite="strict",
        )  # fmt: skip
        return answer

    async def look(self, request: Request) -> Response:
        """What is wrong with a picture, before it is sent. ``full-width`` is that of the picture as taken."""
        if refusal := self._refusal(request):
            return refusal
        return await self._with_file(request, self._look)

    def _look(self, request: Request, file: SentFile) -> Response:
        visit, door = self._door.visit, self._door
        if not visit.at_work.acquire(timeout=20.0):
            raise BadRequest("phone.at-work")
        try:
            visit.preview = None
            require_size(file)
            if request.headers.get("x-needs-preview") == "1":
                visit.preview = jpeg_preview(file)
            look = look_at_photo(
                self._workbench.bench, file, trial=door.trial, beside=door.beside,
                full_width=_number(request.headers.get("x-full-width", "")),
            )  # fmt: skip
        finally:
            visit.at_work.release()
        visit.looked += 1
        return JSONResponse(look_told(look, _person(request).wording, has_preview=visit.preview is not None))

    def preview(self, request: Request) -> Response:
        """The picture that was looked at last, where the phone's browser cannot draw it itself."""
        found = self._door.visit.preview
        if not self._is_in(request) or found is None:
            return PlainTextResponse("Nothing is here.\n", 404)
        return Response(found, media_type="image/jpeg")

    async def send(self, request: Request) -> Response:
        """Keep the picture as it was taken and have it read."""
        if refusal := self._refusal(request):
            return refusal
        return await self._with_file(request, self._keep)

    def _keep(self, request: Request, file: SentFile) -> Response:
        bench, door = self._workbench.bench, self._door
        require_size(file)
        with door.visit.at_work:
            if door.visit.job is not None and bench.jobs.get(door.visit.job).is_open:
                raise BadRequest("phone.at-work")
            sha256 = bench.keep_file(file.path, file.name)
            asked = {
                "trial": door.trial,
                "beside": door.beside,
                "files": [{"sha256": sha256, "name": file.name}],
            }
            door.visit.told = False
            door.visit.job = bench.jobs.add("photo", asked, subject=door.trial).id
        self._workbench.runner.wake()
        return JSONResponse(self._state(request))

    def state(self, request: Request) -> Response:
        """How far the reading is, and the verdict in three lines."""
        if not self._is_in(request):
            return PlainTextResponse("Nothing is here.\n", 404)
        return JSONResponse(self._state(request))

    def _state(self, request: Request) -> dict[str, object]:
        told = state_told(self._workbench.bench, self._door, _person(request))
        self._door.visit.told = told["state"] in ("done", "failed")
        return told

    async def _with_file(self, request: Request, then: Callable[[Request, SentFile], Response]) -> Response:
        """The body as a file of ours, gone when the answer is. Its size is bounded as it comes in."""
        path = self._workbench.incoming / secrets.token_hex(16)
        name = plain_name(unquote(request.headers.get("x-name", ""))[:300]) or "photo"
        try:
            await _write(request, path)
            answer = await run_in_threadpool(then, request, SentFile(path, name))
        except ClientDisconnect:
            return PlainTextResponse("Cut off.\n", 400)
        except TacksideError as fault:
            return JSONResponse(fault_told(fault.message, _person(request).wording), status_of(fault))
        else:
            return answer
        finally:
            path.unlink(missing_ok=True)

    def _refusal(self, request: Request) -> Response | None:
        if not self._is_in(request):
            return JSONResponse(
                fault_told(Message("form.no-password"), _person(request).wording), status_code=401
            )
        if not holds(request.headers.get(HEADER, ""), self._door.seat, self._door.secret):
            return JSONResponse(
                fault_told(Message("form.page-too-old"), _person(request).wording), status_code=403
            )
        return None

    def _is_in(self, request: Request) -> bool:
        session = _cookies(request).get(SESSION_COOKIE)
        return session is not None and self._door.gate.lets_in(session)

    def _password(self, request: Request, fault: Message | None = None, status: int = 200) -> Response:
        return self._page(request, "phone/enter.html", status, fault=fault)

    def _guide(self, request: Request) -> Response:
        bench, door = self._workbench.bench, self._door
        beside = None if door.beside is None else bench.trials.get(door.beside)
        return self._page(request, "phone/guide.html", 200, trial=bench.trials.get(door.trial), beside=beside)

    def _page(self, request: Request, template: str, status: int, **view: object) -> Response:
        person = _person(request)
        filled = environment(person.language, person.units).get_template(template)
        door = self._door
        return HTMLResponse(
            filled.render(person=person, csrf=door.csrf, base=f"/{door.token}", **view), status_code=status
        )


def _is_under(path: str, token: str) -> bool:
    """Whether a path begins with the token, in constant time."""
    given = path.removeprefix("/").partition("/")[0]
    return secrets.compare_digest(given.encode("utf-8", "replace"), token.encode())


def _person(request: Request) -> Person:
    return person_of(_cookies(request), request.headers.get("accept-language", ""))


def _cookies(request: Request) -> Mapping[str, str]:
    try:
        return {name: each.value for name, each in SimpleCookie(request.headers.get("cookie", "")).items()}
    except CookieError:
        return {}


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and 0 < len(text) <= 5 else None


async def _write(request: Request, path: Path) -> None:
    """Raises BadRequest for too much, StorageTrouble, ClientDisconnect."""
    size = 0
    try:
        with path.open("xb") as file:
            async for chunk in request.stream():
                size += len(chunk)
                if size > MOST_BYTES:
                    raise BadRequest("form.file-too-large", file="photo", megabytes=MOST_BYTES // MEGABYTE)
                await run_in_threadpool(file.write, chunk)
    except OSError as error:
        raise explain(error, path, "write") from error
    if size == 0:
        raise BadRequest("reading.empty-file", file="photo")


def _nothing(_: Request, __: Exception) -> Response:
    return PlainTextResponse("Nothing is here.\n", 404)
