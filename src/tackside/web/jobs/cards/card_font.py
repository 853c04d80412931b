"""The job that looks at a font brought to a card: which fonts its file holds, and whether they may be printed."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.cards.fonts import look_at_font


def look(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``sha256``, ``name``, ``number`` (None: all of its file). Result: the fonts as the card keeps
    them."""
    asked = task.asked
    found = look_at_font(task.bench, asked["sha256"], asked["name"], asked["number"])
    return {"card": asked["card"], "fonts": [each.model_dump(mode="json") for each in found]}
