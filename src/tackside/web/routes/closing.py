"""Closing the workbench from its pages, where it was started without a terminal."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from tackside.errors import NotFound
from tackside.web.forms.received import FormOf, documented
from tackside.web.shell.attendance import Attendance
from tackside.web.shell.pages import page
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["pages"])
PageName = Annotated[str, Query(pattern="^[0-9a-z]{1,40}$")]


def attendance_of(request: Request) -> Attendance:
    """Raises NotFound where the workbench belongs to a terminal."""
    found = workbench_of(request).options.attendance
    if found is None:
        raise NotFound("form.nothing-here")
    return found


@router.post("/here", status_code=204, openapi_extra=documented())
def here(request: Request, name: PageName, _: FormOf) -> Response:
    """A page says that it is open."""
    attendance_of(request).here(name)
    return Response(status_code=204)


@router.post("/gone", status_code=204, openapi_extra=documented())
def gone(request: Request, name: PageName, _: FormOf) -> Response:
    """A page says that it is being closed."""
    attendance_of(request).gone(name)
    return Response(status_code=204)


@router.post("/close", openapi_extra=documented("sure"))
def close(request: Request, form: FormOf) -> Response:
    """End the workbench; while something is at work, only once the person has said that they are sure."""
    attendance, workbench = attendance_of(request), workbench_of(request)
    jobs = workbench.bench.jobs.list(is_open=True)
    if jobs and not form.get("sure"):
        return page(request, "close/at_work.html", jobs=jobs)
    attendance.end.set()
    return page(request, "close/closed.html", folder=str(workbench.bench.folder))
