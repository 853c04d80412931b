"""What a person sees when something is refused: the fault and its fix, on a page, in a part of one, or as JSON."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from typing import Any, ClassVar, cast

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel
from pydantic_core import ErrorDetails
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from tackside.errors import DoesNotFit, NotFound, Overtaken, StorageTrouble, TacksideError
from tackside.files.record_faults import fault_of_details
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.web.forms.received import Refused
from tackside.web.shell.fault_document import fault_document
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


class Address(BaseModel):
    """What a request's address asks for, where a fault of it is told."""

    KIND: ClassVar[str] = "address"


def status_of(error: TacksideError) -> int:
    return next((status for kind, status in STATUS if isinstance(error, kind)), 422)


def answer(request: Request, fault: Message, status: int, place: Place | None = None) -> Response:
    """A refusal in the form that was asked for."""
    if request.url.path.startswith("/api/"):
        return JSONResponse(fault_document(fault, place), status_code=status)
    template = "_trouble.html" if is_part(request) else "trouble.html"
    return page(request, template, status=status, fault=fault, code=status)


def install(app: FastAPI) -> None:
    @app.exception_handler(TacksideError)
    def _ours(request: Request, error: TacksideError) -> Response:
        return answer(request, error.message, status_of(error), error.place)

    @app.exception_handler(RequestValidationError)
    def _bad_request(request: Request, error: RequestValidationError) -> Response:
        found = fault_of_details(_seen_from_inside(error.errors()[0]), _asked_record(request, error))
        return answer(request, found.message, 422, found.place)

    @app.exception_handler(HTTPException)
    def _plain(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404:
            return answer(request, Message("form.nothing-here"), 404)
        made = answer(request, Message("form.refused", said=str(error.detail).lower()), error.status_code)
        made.headers.update(error.headers or {})
        return made

    @app.exception_handler(Exception)
    def _own_fault(request: Request, error: Exception) -> Response:
        log.error("a fault of our own", exc_info=error)
        return answer(request, Message("form.own-fault", kind=type(error).__name__), 500)


def _seen_from_inside(details: Mapping[str, Any]) -> ErrorDetails:
    """A fault without the part of the request that it stands in: ``("body", "caliper_mm")`` is ``("caliper_mm",)``."""
    return cast("ErrorDetails", {**details, "loc": tuple(details["loc"])[1:]})


def _asked_record(request: Request, error: RequestValidationError) -> type[BaseModel]:
    """The kind of record that the request should have held, or else its address."""
    if error.errors()[0]["loc"][0] != "body":
        return Address
    held = getattr(getattr(request.scope.get("route"), "body_field", None), "field_info", None)
    kind = getattr(held, "annotation", None)
    return kind if isinstance(kind, type) and issubclass(kind, BaseModel) else Address
