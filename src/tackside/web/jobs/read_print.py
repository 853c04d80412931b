"""The job that reads what came back from a trial, judges it, and prepares its scans to be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tackside.picture.work_out import work_out_trials
from tackside.reading.files import read_files
from tackside.reading.recognise import kind_of
from tackside.records import Reading, Trial
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, renamed, under_their_names
from tackside.web.jobs.scan_view import prepare_scan
from tackside.web.verdicts import keep_verdict


def read(task: Task) -> dict[str, Any]:
    """Asked: ``trial``, ``files`` (SHA-256 and name of each), ``device``. Result: ids of reading and verdict."""
    trial = task.bench.trials.get(task.asked["trial"])
    given = task.asked["files"]
    return read_kept(task, trial, [each["sha256"] for each in given], [each["name"] for each in given])


def read_kept(task: Task, trial: Trial, sha256s: Sequence[str], names: Sequence[str]) -> dict[str, Any]:
    """Read kept files as one reading of a trial, judge it, keep both."""
    laid = lay_out(task, sha256s)
    with under_their_names(laid, names):
        task.tell(0.1, "finding the sheet and its marks")
        found = read_files(laid, trial.sheet, trial=trial.id, device=task.asked.get("device") or None)
        scans = [
            (path, sha256) for path, sha256 in zip(laid, sha256s, strict=True) if kind_of(path) == "scan"
        ]
        for number, (path, sha256) in enumerate(scans):
            task.tell(0.5 + 0.3 * number / len(scans), "preparing the scan to be looked at")
            prepare_scan(task.cache, path, sha256, trial)
    task.tell(0.85, "weighing the evidence")
    reading = _under_their_names(found, laid, names)
    kept = task.bench.readings.add(reading)
    judged = keep_verdict(task.bench, trial, kept)
    task.tell(0.95, "working the card out for choosing")
    work_out_trials(task.bench, [trial.id])
    return {"trial": trial.id, "reading": kept.id, "verdict": judged.id, "grade": judged.grade}


def _under_their_names(reading: Reading, laid: Sequence[Path], names: Sequence[str]) -> Reading:
    """The reading with its sources and notices under the names that the person gave the files."""
    return reading.model_copy(
        update={
            "source_name": renamed(reading.source_name, laid, names),
            "further_sources": tuple(
                source.model_copy(update={"name": renamed(source.name, laid, names)})
                for source in reading.further_sources
            ),
            "notices": tuple(renamed(notice, laid, names) for notice in reading.notices),
        }
    )
