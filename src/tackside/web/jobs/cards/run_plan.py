"""The jobs of a run: planning it where designs have to be drawn for their ink, and writing its papers."""

from __future__ import annotations

from typing import Any

from tackside.files.atomic import write_atomically
from tackside.run.papers import papers
from tackside.run.plan.document import document, kept_batches
from tackside.web.jobs.engine.task import Task
from tackside.web.run_plans import asked_of, from_data, planned

PAPERS = ("pick-list.pdf", "labels.pdf", "instructions.pdf")


def plan(task: Task) -> dict[str, Any]:
    """Asked: the run with its designs and lists, as data. Result: the ``plan`` as a document, and its ``batches``."""
    task.tell(0.1, "counting the ink of each design")
    found = planned(task, from_data(task.asked))
    batches = [each.model_dump(mode="json") for each in kept_batches(found)]
    return {"plan": document(found), "batches": batches}


def write_papers(task: Task) -> dict[str, Any]:
    """Asked: ``run``, by its id. Result: pick list, labels and instruction cards as kept files, by name, and the
    ``warnings`` of the labels: what is set in a font at hand, what in none."""
    bench, run = task.bench, task.bench.runs.get(task.asked["run"])
    task.tell(0.1, "counting the ink of each design")
    found = planned(task, asked_of(run))
    task.tell(0.4, "setting the papers")
    texts = papers.label_texts(found)
    fonts = papers.label_fonts(found, texts)
    cards = [
        papers.instruction(each, bench.stocks.get(each.stock), bench.printers.get(each.printer))
        for each in found.batches
    ]
    made = (
        papers.pick_list(found),
        papers.labels(found, texts, fonts),
        papers.instructions_pdf(found.run.name, cards),
    )
    files: dict[str, str] = {}
    for name, data in zip(PAPERS, made, strict=True):
        path = task.folder / name
        write_atomically(path, data)
        files[name] = bench.keep_file(path, f"{run.name} {name}".replace("/", "-"))
    return {"run": run.id, "files": files, "labels": len(texts), "warnings": list(fonts.warnings)}
