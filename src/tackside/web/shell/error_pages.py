"""What a person sees when something is refused: the family's own words, on a page, in a part of one, or as JSON."""

from __future__ import annotations

import logging

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from tackside.errors import DoesNotFit, NotFound, Overtaken, StorageTrouble, TacksideError
from tackside.web.forms.received import Refused
from tackside.web.shell.pages import is_part, page

log = logging.getLogger(__name__)

# Kind of error → HTTP status; what is not here is a 422: understood, and refused.
STATUS: tuple[tuple[type[TacksideError], int], ...] = (
    (NotFound, 404),
    (Refused, 403),
    (Overtaken, 409),
    (StorageTrouble, 503),
    (DoesNotFit, 422),
)


def status_of(error: TacksideError) -> int:
    return next((status for kind, status in STATUS if isinstance(error, kind)), 422)


def answer(request: Request, what: str, mend: str, status: int) -> Response:
    """A refusal in the form that was asked for."""
    if request.url.path.startswith("/api/"):
        return JSONResponse({"what": what, "mend": mend}, status_code=status)
    template = "_trouble.html" if is_part(request) else "trouble.html"
    return page(request, template, status=status, what=what, mend=mend, code=status)


def install(app: FastAPI) -> None:
    @app.exception_handler(TacksideError)
    def _ours(request: Request, error: TacksideError) -> Response:
        return answer(request, error.what, error.fix, status_of(error))

    @app.exception_handler(RequestValidationError)
    def _bad_request(request: Request, error: RequestValidationError) -> Response:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"][1:]) or "the request"
        return answer(request, f"{where[:80]}: {first['msg'].lower()}", "go back and choose again", 422)

    @app.exception_handler(HTTPException)
    def _plain(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404:
            return answer(request, "there is nothing at this address", "go to the first page", 404)
        made = answer(request, str(error.detail).lower(), "go back and try again", error.status_code)
        made.headers.update(error.headers or {})
        return made

    @app.exception_handler(Exception)
    def _own_fault(request: Request, error: Exception) -> Response:
        log.error("a fault of our own", exc_info=error)
        return answer(
            request,
            f"a fault of Tackside's own ({type(error).__name__})",
            "your records are safe; please tell the project what you did",
            500,
        )
