"""The jobs that hand a stock on: its whole record as one archive, and taking one in."""

from __future__ import annotations

from typing import Any

from tackside.bench.transfer.exchange import export_stock
from tackside.bench.transfer.exchange_import import import_stock
from tackside.picture.work_out import work_out_trials
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, under_their_names


def hand_on(task: Task) -> dict[str, Any]:
    """Asked: ``stock``. Result: its name and the archive's SHA-256 among the bench's files."""
    task.tell(0.1, "gathering the stock's records and files")
    path = task.folder / "stock.zip"
    export_stock(task.bench, task.asked["stock"], path)
    task.tell(0.8, "keeping the archive")
    return {"stock": task.asked["stock"], "file": task.bench.keep_file(path, f"{task.asked['stock']}.zip")}


def take_in(task: Task) -> dict[str, Any]:
    """Asked: ``sha256``, ``name`` and ``keep`` (mine, theirs, both, or None). Result: what was taken in."""
    task.tell(0.1, "checking the archive")
    laid = lay_out(task, [task.asked["sha256"]])
    with under_their_names(laid, [task.asked["name"]]):
        taken = import_stock(task.bench, laid[0], task.asked["keep"])
    task.tell(0.9, "working the cards out for choosing")
    work_out_trials(task.bench, taken.trials)
    return {"stock": taken.stock, "trials": list(taken.trials), "readings": taken.readings}
