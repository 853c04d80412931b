"""The job that makes a card's print-ready files, and shows the folded card and the sheet beforehand."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.cards.make_kept import SUFFIXES, make_kept_card


def make(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``revision``, ``kinds`` (of ``SUFFIXES``), ``corrected``, ``by_trial``. Result: kept files,
    remarks."""
    asked = task.asked
    made = make_kept_card(
        task.bench,
        asked["card"],
        asked["revision"],
        [each for each in SUFFIXES if each in asked["kinds"]],
        task.folder,
        corrected=asked["corrected"],
        by_trial=asked.get("by_trial"),
        progress=task.tell,
    )
    return {
        "card": made.card.name,
        "revision": asked["revision"],
        "files": made.files,
        "faces": [face.name for face in made.laid.faces],
        "size_mm": list(made.laid.faces[0].fit.size_mm),
        "by_trial": asked.get("by_trial"),
        "corrected": list(made.corrected_by),
        "remarks": [each.as_data() for each in made.remarks],
    }
