"""The job that reads what came back from a trial, judges it, and prepares its scans to be looked at.

What a choice of cards asks of the card read is left to a job of its own: the verdict does not wait for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from tackside.messages.message import Message
from tackside.reading.files import kind_of
from tackside.records import Reading
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.arrived.pages import pages_of
from tackside.workflow.judge import judge_print
from tackside.workflow.prepared.scan_view import prepare_scan
from tackside.workflow.progress import part
from tackside.workflow.read import keep_reading, read_back
from tackside.workflow.scanning.made import MadeScan
from tackside.workflow.sent_files import SentFile, under_their_names


def read(task: Task) -> dict[str, Any]:
    """Asked: ``trial``, ``files`` (SHA-256 and name of each), ``device``, ``scanner``. Result: ids of reading and
    verdict.
    """
    given = task.asked["files"]
    return read_kept(
        task, task.asked["trial"], [each["sha256"] for each in given], [each["name"] for each in given]
    )


def read_kept(
    task: Task, trial: str, sha256s: Sequence[str], names: Sequence[str], made: MadeScan | None = None
) -> dict[str, Any]:
    """Read kept files as one reading of a trial, judge it, keep both. A PDF is read as the pictures of its pages."""
    files = lay_out(task, sha256s, names)
    pages, faults = pages_of(files, task.folder)
    for _, fault in faults:
        raise fault
    return read_laid_out(task, trial, *with_hashes(task, pages, files, sha256s), made)


def read_laid_out(
    task: Task, trial: str, files: Sequence[SentFile], sha256s: Sequence[str], made: MadeScan | None = None
) -> dict[str, Any]:
    """Read files that are kept and lie there as one reading of a trial, judge it, keep both. ``made``: how they were
    scanned from here."""
    reading = read_back(
        task.bench,
        trial,
        files,
        device=task.asked.get("device"),
        scanner=task.asked.get("scanner"),
        progress=part(task.tell, 0.0, 0.5),
        made=made,
    )
    with under_their_names(files):
        _prepare_scans(task, reading, trial, files, sha256s)
    kept = keep_reading(task.bench, reading, files)
    task.tell(0.8, Message("progress.weighing-evidence"))
    verdict = judge_print(task.bench, kept.trial or trial, reading=kept).verdict
    if not task.bench.trials.get(kept.trial or trial).practice:  # which no choice of cards asks for
        task.bench.jobs.add("prepare-card", {"trial": verdict.trial})
    return {"trial": verdict.trial, "reading": kept.id, "verdict": verdict.id, "grade": verdict.grade}


def with_hashes(
    task: Task, pages: Sequence[SentFile], files: Sequence[SentFile], sha256s: Sequence[str]
) -> tuple[list[SentFile], list[str]]:
    """The pages, kept on the bench where they came out of a document, and where each is kept."""
    known = {file.path: sha256 for file, sha256 in zip(files, sha256s, strict=True)}
    kept = [known.get(page.path) or task.bench.keep_file(page.path, page.name) for page in pages]
    return [replace(page, is_kept=True) for page in pages], kept


def _prepare_scans(
    task: Task, reading: Reading, trial: str, files: Sequence[SentFile], sha256s: Sequence[str]
) -> None:
    found = task.bench.trials.get(reading.trial or trial)
    for number, (file, sha256) in enumerate(zip(files, sha256s, strict=True)):
        if kind_of(file.path) == "scan":
            task.tell(0.5 + 0.3 * number / len(files), Message("progress.preparing-scan"))
            prepare_scan(task.cache, file.path, sha256, found, reading.spoilt)
