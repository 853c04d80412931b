"""The jobs that build a card's own profile from trials, and refine it by a print that went through it."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.workflow.profiles.build import (
    BuiltProfile,
    ProfileWishes,
    build_own_profile,
    refine_own_profile,
)


def build(task: Task) -> dict[str, Any]:
    """Asked: ``trials``, ``description``, ``v2``. Result: ``sha256`` of the kept profile."""
    asked = task.asked
    wishes = ProfileWishes(asked["description"] or None, asked["v2"])
    return _result(build_own_profile(task.bench, asked["trials"], wishes=wishes, progress=task.tell))


def refine(task: Task) -> dict[str, Any]:
    """Asked: ``trial``. Result: ``sha256`` of the kept profile."""
    return _result(refine_own_profile(task.bench, task.asked["trial"], progress=task.tell))


def _result(built: BuiltProfile) -> dict[str, Any]:
    assert built.kept is not None  # what is built from trials is kept
    return {"sha256": built.kept.sha256}
