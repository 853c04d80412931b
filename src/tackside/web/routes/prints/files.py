"""Downloads: the files of a sheet."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from starlette.responses import FileResponse

from tackside.errors import NotFound
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["files"])
MEDIA_TYPES = {"tif": "image/tiff", "pdf": "application/pdf"}


@router.get("/trials/{trial_id}/sheet.{suffix}", response_class=FileResponse)
def sheet(request: Request, trial_id: str, suffix: Literal["tif", "pdf"]) -> FileResponse:
    """The test sheet at true size, as TIFF or PDF. 404 while it is not drawn, and for the TIFF of several pages."""
    return _sheet(request, trial_id, suffix, suffix)


@router.get("/trials/{trial_id}/sheet-{number}.tif", response_class=FileResponse)
def sheet_page(request: Request, trial_id: str, number: int) -> FileResponse:
    """One page, from 1, of a test sheet that has several, as TIFF. 404 while it is not drawn."""
    return _sheet(request, trial_id, f"tif-{number}", "tif")


def _sheet(request: Request, trial_id: str, kept: str, suffix: Literal["tif", "pdf"]) -> FileResponse:
    bench = workbench_of(request).bench
    trial = bench.trials.get(trial_id)
    for job in bench.jobs.list(subject=trial.id, kind="sheet", count=20):
        if job.state == "done" and job.result is not None and kept in job.result["files"]:
            return FileResponse(
                bench.file(job.result["files"][kept]), media_type=MEDIA_TYPES[suffix],
                filename=f"tackside-{trial.id}{kept.removeprefix(suffix)}.{suffix}",
            )  # fmt: skip
    raise NotFound(f"the sheet of {trial.id} is not drawn yet", "have it drawn on its page")
