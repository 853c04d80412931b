"""The work of sending sheets to a printer and following them, which nobody has to wait for."""

from __future__ import annotations

from typing import Any

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.web.jobs.engine.task import Task
from tackside.workflow.runs.send import JobNews
from tackside.workflow.runs.send import send as send_sheets
from tackside.workflow.runs.sending import Sending, ready_from_page, sent_by


def send(task: Task) -> dict[str, Any]:
    """Asked: what a ``Sending`` holds, ``order`` of its own, ``confirmed`` sheets, ``page``. Result: ``page``, sheets.

    Begun a second time, as after the program was ended, it sends nothing that it may have sent before.
    """
    asked = task.asked
    if sent_by(task.bench, asked["order"]):
        return {"page": asked["page"], "sheets": None}
    task.tell(0.0, Message("progress.asking-printer"))
    ready = ready_from_page(task.bench, Sending.of_data(asked["sending"]), task.folder, asked["order"])
    total = ready.consignment.sheets
    if total != asked["confirmed"]:
        raise BadRequest("printing.changed-since", confirmed=asked["confirmed"], sheets=total)
    done = 0.0

    def tell(name: str, news: JobNews) -> None:
        nonlocal done
        task.tell(min(0.95, done / total), Message("progress.at-the-printer", document=name))
        done += news.state == "completed"

    def drawing(name: str) -> None:
        task.tell(min(0.95, done / total), Message("progress.drawing-for-printer", document=name))

    jobs = send_sheets(task.bench, ready, tell, lambda _: task.stopping(), drawing)
    return {"page": asked["page"], "sheets": sum(job.copies for job in jobs)}
