"""The jobs of a run: planning it where designs have to be drawn for their ink, and writing its papers."""

from __future__ import annotations

from typing import Any

from tackside.files.atomic import write_atomically
from tackside.messages.message import Message
from tackside.run.plan.document import document, kept_batches
from tackside.web.jobs.engine.task import Task
from tackside.workflow.runs import write_papers as papers
from tackside.workflow.runs.asked import asked_of, from_data
from tackside.workflow.runs.plan_asked import with_files

PAPERS = ("pick-list.pdf", "labels.pdf", "instructions.pdf")


def plan(task: Task) -> dict[str, Any]:
    """Asked: the run with its designs and lists, as data. Result: the ``plan`` as a document, and its ``batches``."""
    task.tell(0.1, Message("progress.counting-ink"))
    found = with_files(task.bench, from_data(task.asked), task.folder)
    batches = [each.model_dump(mode="json") for each in kept_batches(found)]
    return {"plan": document(found), "batches": batches}


def write_papers(task: Task) -> dict[str, Any]:
    """Asked: ``run``, by its id. Result: pick list, labels and instruction cards as kept files, by name, and the
    ``warnings`` of the labels: what is set in a font at hand, what in none."""
    bench, run = task.bench, task.bench.runs.get(task.asked["run"])
    task.tell(0.1, Message("progress.counting-ink"))
    found = with_files(bench, asked_of(run), task.folder)
    task.tell(0.4, Message("progress.setting-papers"))
    labels = papers.labels(found)
    made = (
        papers.pick_list(found),
        labels.pdf,
        papers.instructions_pdf(found, papers.instructions(bench, found)),
    )
    files: dict[str, str] = {}
    for name, data in zip(PAPERS, made, strict=True):
        path = task.folder / name
        write_atomically(path, data)
        files[name] = bench.keep_file(path, f"{run.name} {name}".replace("/", "-"))
    warnings = [each.as_data() for each in labels.fonts.warnings]
    return {"run": run.id, "files": files, "labels": labels.count, "warnings": warnings}
