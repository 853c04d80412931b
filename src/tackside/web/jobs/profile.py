"""The job that looks into a profile: what it is, its faults, its plots, its gamut, and which cards it is nearest to."""

from __future__ import annotations

from typing import Any

from tackside.tasks.artifacts import place_of
from tackside.web.forms.queries.gamut_query import ROOM as GAMUTS
from tackside.web.forms.queries.gamut_query import GamutAsked
from tackside.web.jobs.engine.task import Task
from tackside.workflow.prepared.profile import BESIDE, ROOM, prepare_profile


def look(task: Task) -> dict[str, Any]:
    """Asked: ``sha256`` of a kept profile. Result: the same."""
    sha256 = task.asked["sha256"]
    gamut = GamutAsked(f"profile-{sha256}", BESIDE).key(task.bench)
    prepare_profile(
        task.bench,
        sha256,
        place_of(task.cache, ROOM, sha256),
        place_of(task.cache, GAMUTS, gamut),
        task.tell,
    )
    return {"sha256": sha256}
