"""The job that readies a gamut to be turned by hand."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tackside.tasks.artifacts import place_of
from tackside.web.forms.queries.gamut_query import ROOM, GamutAsked, whose
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.prepared.gamut import GamutPicture, prepare_gamut


def prepare(task: Task) -> dict[str, Any]:
    """Asked: the parts of a ``GamutAsked``. Result: the same."""
    asked = GamutAsked(**task.asked)
    picture = None
    if asked.picture:
        laid = lay_out(task, [asked.picture], [task.bench.file_name(asked.picture)])
        picture = GamutPicture(asked.picture, laid[0])
    prepare_gamut(
        task.bench,
        place_of(task.cache, ROOM, asked.key(task.bench)),
        whose(asked.of),
        whose(asked.against) if asked.against else None,
        picture=picture,
        basis=asked.basis,
        progress=task.tell,
    )
    return asdict(asked)
