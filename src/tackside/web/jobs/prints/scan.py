"""The job that scans a sheet from here, reads and judges it."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

from tackside.errors import BadRequest, BadScan, ScanStopped
from tackside.web.jobs.arrived import read_by_tags
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.read_print import read_kept
from tackside.workflow.progress import part
from tackside.workflow.scanning.made import of_the_glass
from tackside.workflow.scanning.scan import ScanOrder, scan_sheet

# A job that is begun again after the program stood still would scan whatever lies on the glass by now.
LONG_AGO_SECONDS = 900.0


def scan(task: Task) -> dict[str, Any]:
    """Asked: ``order`` (a ``ScanOrder``), ``trial`` (None: the tag says it), ``scanner``, ``at`` (seconds since the
    epoch). Result: that of reading the sheet, and ``address``, the page to go on from.

    A person who stops it has the job cancelled at the scanner.
    """
    asked = task.asked
    if time.time() - asked["at"] > LONG_AGO_SECONDS:
        raise BadRequest("scanning.asked-long-ago")
    trial = asked.get("trial")
    made = scan_sheet(
        task.bench, ScanOrder(**asked["order"]), task.folder, trial=trial, progress=part(task.tell, 0.0, 0.5),
        stop=task.stopping, nearby_only=True,
    )  # fmt: skip
    if task.stopping():
        raise ScanStopped("scanning.stopped")
    sha256, name = task.bench.keep_file(made.file.path, made.file.name), made.file.name
    made.file.path.unlink()
    reading = replace(task, tell=part(task.tell, 0.5, 1.0))
    if trial is not None:
        return read_kept(reading, trial, [sha256], [name], made)
    try:
        result, _ = read_by_tags(reading, [sha256], [name], made)
    except BadScan as fault:
        raise of_the_glass(fault) from fault
    return {**result, "address": "/scan"}
