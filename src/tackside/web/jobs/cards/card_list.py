"""The job that makes the print-ready files of a card for all rows of a list."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.cards.make_list import make_list


def make(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``revision``, ``list`` (SHA-256, name), ``filed``, ``meant``, ``titles``. Result: the kept
    file, how many cards, remarks."""
    asked = task.asked
    made = make_list(
        task.bench,
        asked["card"],
        asked["revision"],
        (asked["list"][0], asked["list"][1]),
        asked["filed"],
        task.folder,
        sample_meant=asked["meant"],
        titles=asked["titles"],
        progress=task.tell,
    )
    return {
        "card": asked["card"],
        "list": asked["list"],
        "files": {made.name: made.file},
        "cards": made.cards,
        "remarks": [each.as_data() for each in made.remarks],
    }
