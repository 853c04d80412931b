"""The jobs that hand a stock on: its whole record as one archive, and taking one in."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.progress import part
from tackside.workflow.sent_files import under_their_names
from tackside.workflow.stocks import exchange


def hand_on(task: Task) -> dict[str, Any]:
    """Asked: ``stock``. Result: its name and the archive's SHA-256 among the bench's files."""
    stock, path = task.asked["stock"], task.folder / "stock.zip"
    exchange.hand_on(task.bench, stock, path, part(task.tell, 0.0, 0.8))
    return {"stock": stock, "file": task.bench.keep_file(path, f"{stock}.zip")}


def take_in(task: Task) -> dict[str, Any]:
    """Asked: ``sha256``, ``name`` and ``keep`` (mine, theirs, both, or None). Result: what was taken in."""
    laid = lay_out(task, [task.asked["sha256"]], [task.asked["name"]])
    with under_their_names(laid):
        taken = exchange.take_in(task.bench, laid[0].path, task.asked["keep"], task.tell)
    return {"stock": taken.stock, "trials": list(taken.trials), "readings": taken.readings}
