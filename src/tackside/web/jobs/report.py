"""The job that makes a report to publish: one HTML page and a paged PDF, as ``tackside report`` writes them."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.workflow.report import ReportWishes, publish


def make(task: Task) -> dict[str, Any]:
    """Asked: ``trials``, ``title``, ``note``, ``licence``, ``pictures``, ``data``, and ``short`` for one card alone.

    Result: both files, kept, by their endings; and what the report is called.
    """
    asked = task.asked
    wishes = ReportWishes(
        asked["title"] or None,
        asked["note"] or None,
        asked["licence"] or None,
        pictures=asked["pictures"],
        data=asked["data"],
    )
    made = publish(task.bench, asked["trials"], task.folder, wishes, short=asked["short"], progress=task.tell)
    title = made.title.as_data() if isinstance(made.title, Message) else made.title
    return {"files": made.files, "title": title, "stocks": list(made.stocks)}
