"""The job that prepares a scan to be looked at."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.prepared.scan_view import prepare_scan
from tackside.workflow.sent_files import under_their_names


def prepare(task: Task) -> dict[str, Any]:
    """Asked: ``trial`` and ``sha256`` of a scan. Result: the same."""
    trial, sha256 = task.bench.trials.get(task.asked["trial"]), task.asked["sha256"]
    laid = lay_out(task, [sha256], [task.bench.file_name(sha256)])
    with under_their_names(laid):
        task.tell(0.2, Message("progress.preparing-scan"))
        readings = task.bench.readings.list(trial.id, withdrawn=True)
        spoilt = [each for reading in readings for each in reading.spoilt]
        prepare_scan(task.cache, laid[0].path, sha256, trial, spoilt)
    return {"trial": trial.id, "sha256": sha256}
