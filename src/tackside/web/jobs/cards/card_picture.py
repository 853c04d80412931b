"""The job that looks at a picture dropped on a card: what it is, and a smaller one of it for the screen."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.cards.picture import look_at


def look(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``panel``, ``sha256`` and ``name``. Result: the picture as the card keeps it."""
    asked = task.asked
    image = look_at(task.bench, asked["sha256"], asked["name"], task.folder, progress=task.tell)
    return {"card": asked["card"], "panel": asked["panel"], "image": image.model_dump(mode="json")}
