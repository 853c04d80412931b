"""The job that draws a trial's test sheet: TIFF and PDF at true size, from the plan that the trial keeps."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.trials import draw_sheet


def make(task: Task) -> dict[str, Any]:
    """Draw and keep both files. Asked: ``trial``. Result: ``files``, suffix → SHA-256."""
    trial = task.asked["trial"]
    return {"trial": trial, "files": draw_sheet(task.bench, trial, task.folder, task.tell)}
