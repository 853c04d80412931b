"""The job that reads a scan from the watched folder: the tag on the sheet says which trial it belongs to."""

from __future__ import annotations

from typing import Any

from tackside.errors import BadScan
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.marks.detections import see
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, under_their_names
from tackside.web.jobs.read_print import read_kept


def read(task: Task) -> dict[str, Any]:
    """Asked: ``files`` (SHA-256 and name, one). Result: that of reading it."""
    given = task.asked["files"][0]
    laid = lay_out(task, [given["sha256"]])
    with under_their_names(laid, [given["name"]]):
        task.tell(0.05, "looking for the tag")
        named = {tag.trial for tag in see(open_scan(laid[0])).tags if tag.trial is not None}
        if len(named) != 1:
            raise BadScan(
                f"{given['name']} shows {'no tag that can be read' if not named else 'sheets of several trials'}",
                "open its trial and drop the scan there",
            )
    laid[0].unlink()
    return read_kept(task, task.bench.trials.get(named.pop()), [given["sha256"]], [given["name"]])
