"""The job that reads a scan from the watched folder: the tag on the sheet says which trial it belongs to."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.web.jobs.read_print import read_kept
from tackside.workflow.arrived.by_tag import trial_shown


def read(task: Task) -> dict[str, Any]:
    """Asked: ``files`` (SHA-256 and name, one). Result: that of reading it."""
    given = task.asked["files"][0]
    (laid,) = lay_out(task, [given["sha256"]], [given["name"]])
    task.tell(0.05, Message("progress.finding-tag"))
    trial = trial_shown(laid)
    laid.path.unlink()
    return read_kept(task, trial, [given["sha256"]], [given["name"]])
