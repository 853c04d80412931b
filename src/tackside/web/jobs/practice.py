"""The job that prints and scans a practice trial's sheet on the virtual press."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.practice.practise import print_kept


def print_and_scan(task: Task) -> dict[str, Any]:
    """Asked: ``trial``. Result: ``files``, SHA-256 and name of the scan of each page, kept on the bench."""
    trial = task.asked["trial"]
    files = print_kept(task.bench, trial, task.folder, task.tell)
    return {"trial": trial, "files": [{"sha256": sha256, "name": name} for sha256, name in files]}
