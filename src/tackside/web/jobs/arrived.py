"""The job that reads scans of which nobody said the trial: the tag on each sheet says it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tackside.errors import BadScan, TacksideError
from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.web.jobs.read_print import read_laid_out, with_hashes
from tackside.workflow.arrived.by_tag import sorted_by_tag
from tackside.workflow.arrived.many import require_known
from tackside.workflow.arrived.pages import pages_of
from tackside.workflow.scanning.made import MadeScan


def read(task: Task) -> dict[str, Any]:
    """Asked: ``files`` (SHA-256 and name of each), ``device``, ``scanner``. Result: that of reading the last, and
    ``address``, the page where all are.

    A scan may show several sheets, and a PDF has pages: each trial's make one reading. What is of no use is said once
    all others are read.
    """
    given = task.asked["files"]
    result, several = read_by_tags(task, [each["sha256"] for each in given], [each["name"] for each in given])
    return {**result, "address": "/trials"} if several else result


def read_by_tags(
    task: Task, sha256s: Sequence[str], names: Sequence[str], made: MadeScan | None = None
) -> tuple[dict[str, Any], bool]:
    """The result of reading the last of what kept files show, and whether they show several. ``made``: how they were
    scanned from here. Raises what is of no use, once all others are read."""
    files = lay_out(task, sha256s, names)
    task.tell(0.05, Message("progress.finding-tag"))
    pages, faults = pages_of(files, task.folder)
    laid, kept = with_hashes(task, pages, files, sha256s)
    found, hash_of = sorted_by_tag(laid), dict(zip(laid, kept, strict=True))
    result: dict[str, Any] = {}
    unread = [fault for _, fault in (*faults, *found.faults)]
    for trial, its in found.by_trial.items():
        try:
            require_known(task.bench, trial, its[0])
            result = read_laid_out(task, trial, its, [hash_of[file] for file in its], made)
        except TacksideError as fault:
            unread.append(fault)
    if len(unread) == 1:
        raise unread[0]
    if unread:
        raise BadScan("arrived.several", count=len(unread), faults=[each.message for each in unread])
    return result, len(found.by_trial) > 1
