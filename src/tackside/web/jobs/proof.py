"""The job that readies a live proof of a picture on cards."""

from __future__ import annotations

from typing import Any

from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.prepared.live_proof import place_of, prepare_proof
from tackside.workflow.sent_files import under_their_names


def prepare(task: Task) -> dict[str, Any]:
    """Asked: ``sha256`` and ``name`` of a picture; ``cards``, each by ``card`` (its trial, or ``profile-`` and a hash)
    and ``name``; the ``choice`` and ``number`` it belongs to and the ``card`` to begin with."""
    asked = task.asked
    laid = lay_out(task, [asked["sha256"]], [asked["name"]])
    with under_their_names(laid):
        place = place_of(task.cache, asked["sha256"], asked["trials"])
        prepare_proof(task.bench, laid[0].path, place, asked["cards"], task.tell)
    return {key: asked[key] for key in ("sha256", "choice", "number", "card")}
