"""A form as it came in: fields in memory, files straight to the disk, the token checked before any file is taken.

Files are written under names of our own in ``incoming/`` and removed when the request is over; a route that wants to
keep one hands it to the bench.
"""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, BinaryIO
from urllib.parse import parse_qsl

from fastapi import Depends, Request
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect

from tackside.errors import BadRequest
from tackside.files.atomic import explain
from tackside.web.safety.csrf import FIELD, holds
from tackside.web.workbench import MEGABYTE, Workbench, workbench_of

MOST_FIELD_BYTES = 256 * 1024
MOST_FIELDS = 2000
MOST_FILES = 200


class Refused(BadRequest):
    """A request without a valid token."""


@dataclass(frozen=True)
class Arrived:
    """An uploaded file on our disk. ``name`` is what it was called, for people alone: it is never made a path."""

    path: Path
    name: str
    field: str
    size: int


@dataclass
class Form:
    """Fields in the order they came, and files."""

    fields: list[tuple[str, str]] = field(default_factory=list)
    files: list[Arrived] = field(default_factory=list)

    def get(self, name: str, default: str = "") -> str:
        """The last value of a field, without blanks around it."""
        return next((value.strip() for key, value in reversed(self.fields) if key == name), default)

    def all(self, name: str) -> list[str]:
        return [value.strip() for key, value in self.fields if key == name]

    def typed(self) -> dict[str, str]:
        return {key: value for key, value in self.fields if key != FIELD}


async def received_form(request: Request) -> AsyncIterator[Form]:
    """The form of a request, its token checked. Raises Refused, BadRequest, StorageTrouble."""
    workbench = workbench_of(request)
    kind, parameters = parse_options_header(request.headers.get("content-type", ""))
    form = Form()
    try:
        if kind == b"multipart/form-data" and parameters.get(b"boundary"):
            await _receive_parts(request, workbench, parameters[b"boundary"], form)
        elif kind == b"application/x-www-form-urlencoded":
            _check_token(request, workbench, _fields(await _whole_body(request), form))
        else:
            _check_token(request, workbench, form)
        yield form
    except ClientDisconnect as error:
        raise BadRequest("form.cut-off") from error
    finally:
        for arrived in form.files:
            with contextlib.suppress(OSError):
                arrived.path.unlink(missing_ok=True)


def documented(*fields: str, files: bool = False) -> dict[str, Any]:
    """What OpenAPI says of a form: its fields, as text, beside the token."""
    properties: dict[str, Any] = {name: {"type": "string"} for name in (*fields, FIELD)}
    kind = "application/x-www-form-urlencoded"
    if files:
        kind = "multipart/form-data"
        properties["files"] = {"type": "array", "items": {"type": "string", "format": "binary"}}
    schema = {"type": "object", "properties": properties}
    return {"requestBody": {"content": {kind: {"schema": schema}}, "required": False}}


FormOf = Annotated[Form, Depends(received_form)]


def _check_token(request: Request, workbench: Workbench, form: Form) -> None:
    if request.state.token_held or holds(form.get(FIELD), request.state.seat, workbench.secret):
        return
    raise Refused("form.page-too-old")


async def _whole_body(request: Request) -> bytes:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > MOST_FIELD_BYTES:
            raise BadRequest("form.too-large")
    return bytes(body)


def _fields(body: bytes, form: Form) -> Form:
    try:
        form.fields = parse_qsl(
            body.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict"
        )
    except (UnicodeDecodeError, ValueError) as error:
        raise BadRequest("form.no-utf-8") from error
    return form


async def _receive_parts(request: Request, workbench: Workbench, boundary: bytes, form: Form) -> None:
    parts = _Parts(request, workbench, form)
    try:
        parser = MultipartParser(
            boundary,
            {
                "on_part_begin": parts.begin,
                "on_header_field": parts.header_field,
                "on_header_value": parts.header_value,
                "on_header_end": parts.header_end,
                "on_headers_finished": parts.headers_finished,
                "on_part_data": parts.data,
                "on_part_end": parts.end,
                "on_end": parts.finish,
            },
        )
        async for chunk in request.stream():
            if chunk:
                await run_in_threadpool(parser.write, chunk)
    except FormParserError as error:
        raise BadRequest("form.damaged") from error
    except OSError as error:
        raise explain(error, workbench.incoming, "write") from error
    finally:
        parts.close()
    if not parts.is_finished:
        raise BadRequest("form.cut-off")
    _check_token(request, workbench, form)


class _Parts:
    """What the parser calls; one part at a time is open."""

    def __init__(self, request: Request, workbench: Workbench, form: Form) -> None:
        self._request, self._workbench, self._form = request, workbench, form
        self._field = self._value = b""
        self._headers: dict[bytes, bytes] = {}
        self._name = ""
        self._file_name: str | None = None
        self._text = bytearray()
        self._stream: BinaryIO | None = None
        self._path: Path | None = None
        self._size = self._text_in_all = 0
        self.is_finished = False

    def begin(self) -> None:
        self._headers, self._text = {}, bytearray()

    def header_field(self, data: bytes, start: int, end: int) -> None:
        self._field += data[start:end]
        self._bound(self._field)

    def header_value(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]
        self._bound(self._value)

    def header_end(self) -> None:
        self._headers[self._field.lower()] = self._value
        self._field = self._value = b""

    def headers_finished(self) -> None:
        _, options = parse_options_header(self._headers.get(b"content-disposition", b""))
        self._name = options.get(b"name", b"").decode("utf-8", "replace")
        given = options.get(b"filename")
        self._file_name = None if given is None else plain_name(given.decode("utf-8", "replace"))
        if self._file_name is None:
            if len(self._form.fields) >= MOST_FIELDS:
                raise BadRequest("form.too-many-fields")
            return
        _check_token(self._request, self._workbench, self._form)
        if len(self._form.files) >= MOST_FILES:
            raise BadRequest("form.too-many-files", most=MOST_FILES)
        self._path = self._workbench.incoming / secrets.token_hex(16)
        self._stream = self._path.open("xb")
        self._size = 0

    def data(self, data: bytes, start: int, end: int) -> None:
        if self._stream is None:
            self._text += data[start:end]
            self._text_in_all += end - start
            if self._text_in_all > MOST_FIELD_BYTES:
                raise BadRequest("form.too-large")
            return
        self._size += end - start
        largest = self._workbench.options.largest_upload
        if self._size > largest:
            raise BadRequest("form.file-too-large", file=self._file_name, megabytes=largest // MEGABYTE)
        self._stream.write(data[start:end])

    def end(self) -> None:
        if self._stream is None or self._path is None:
            self._form.fields.append((self._name, self._text.decode("utf-8", "replace")))
            return
        self._stream.close()
        self._stream = None
        if self._file_name or self._size:  # browsers send an empty part for a field without a file
            self._form.files.append(Arrived(self._path, self._file_name or "file", self._name, self._size))
        else:
            self._path.unlink(missing_ok=True)
        self._path = None

    def finish(self) -> None:
        self.is_finished = True

    def close(self) -> None:
        """Remove a file that was cut off."""
        if self._stream is not None:
            self._stream.close()
        if self._path is not None:
            self._path.unlink(missing_ok=True)

    def _bound(self, header: bytes) -> None:
        if len(header) > 8192:
            raise BadRequest("form.damaged")


def plain_name(name: str) -> str:
    """What a file is called, without folders and signs that no screen shows."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(sign for sign in last if sign.isprintable())[-120:]
