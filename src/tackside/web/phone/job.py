"""The job that reads a phone's photograph of a new print beside a known one, and judges the new one beside it."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.judge import judge_print
from tackside.workflow.photo.read import read_photo
from tackside.workflow.progress import part


def read(task: Task) -> dict[str, Any]:
    """Asked: ``trial``, ``beside`` (or None), ``files`` (SHA-256 and name). Result: ids of reading and verdict."""
    given = task.asked["files"]
    [file] = lay_out(task, [each["sha256"] for each in given], [each["name"] for each in given])
    found = read_photo(
        task.bench,
        file,
        trial=task.asked["trial"],
        beside=task.asked["beside"],
        progress=part(task.tell, 0.0, 0.9),
    )
    reading = found.readings[0]
    task.tell(0.9, Message("progress.weighing-evidence"))
    verdict = judge_print(
        task.bench, reading.trial or task.asked["trial"], reading=reading, against=found.beside
    ).verdict
    return {"trial": verdict.trial, "reading": reading.id, "verdict": verdict.id, "grade": verdict.grade}
