"""Kept files for a job, in its own folder."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.web.jobs.engine.task import Task
from tackside.workflow import laid_out
from tackside.workflow.sent_files import SentFile


def lay_out(task: Task, sha256s: Sequence[str], names: Sequence[str]) -> list[SentFile]:
    """Kept files in the job's folder under names of our own. Raises NotFound, StorageTrouble."""
    return laid_out.lay_out(task.bench, task.folder, sha256s, names)
