"""The job that draws a trial's test sheet: TIFF and PDF at true size, from the plan that the trial keeps."""

from __future__ import annotations

from typing import Any

from tackside.records import Trial
from tackside.sheet.canvas import Image
from tackside.sheet.render import render
from tackside.sheet.write import write_sheet
from tackside.web.jobs.engine.task import Task


def make(task: Task) -> dict[str, Any]:
    """Draw and keep both files. Asked: ``trial``. Result: ``files``, suffix → SHA-256."""
    trial = task.bench.trials.get(task.asked["trial"])
    task.tell(0.05, "drawing the sheet")
    image = render(trial.sheet)
    files: dict[str, str] = {}
    task.tell(0.4, "writing the TIFF")
    files["tif"] = _kept(task, trial, image, "tif")
    task.tell(0.7, "writing the PDF")
    files["pdf"] = _kept(task, trial, image, "pdf")
    return {"trial": trial.id, "files": files}


def _kept(task: Task, trial: Trial, image: Image, suffix: str) -> str:
    path = task.folder / f"sheet.{suffix}"
    write_sheet(trial.sheet, image, path)
    return task.bench.keep_file(path, f"{trial.id}.{suffix}")
