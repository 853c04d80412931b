"""Runs of the workbench: planned from kept cards and lists, and kept with all that they were asked with."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.card.file.toml_text import card_toml
from tackside.errors import BadRecord, NotFound
from tackside.files.atomic import write_atomically
from tackside.records.run import KeptBatch, KeptRun
from tackside.run.papers import papers
from tackside.run.plan import gather
from tackside.run.plan.plan import RunPlan
from tackside.run.plan.run_file import Run, RunCard
from tackside.run.plan.run_toml import run_toml
from tackside.web.cards import parts_of
from tackside.web.forms.run.run_form import RunAsked
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, under_their_names

ASKED = "asked"  # where a kept plan holds what the browser asked for


def without_files(asked: RunAsked, bench: Bench) -> RunPlan:
    """The plan as far as it goes before a design or list is opened: all refusals that need neither come at once.

    Where there are none it is the plan itself. Raises BadRecord, NotFound, DoesNotFit.
    """
    cards = tuple(_stand_in(asked, card, bench) for card in asked.run.cards)
    plan = gather.plan(asked.run.model_copy(update={"cards": cards}), bench)
    papers.label_texts(plan)
    return plan


def _stand_in(asked: RunAsked, card: RunCard, bench: Bench) -> RunCard:
    """A card without the files that it takes: on the stock and printer of its design, its ink not counted yet."""
    changed: dict[str, Any] = {}
    if card.file is not None:
        design = bench.cards.get(asked.designs[card.file])
        changed = {
            "file": None, "stock": card.stock or design.stock, "printer": card.printer or design.printer,
            "ink_ml": card.ink_ml or 0.0,
        }  # fmt: skip
    if card.recipients is not None:
        changed |= {"recipients": None, "quantity": 1, "label": None}
    return card.model_copy(update=changed)


def planned(task: Task, asked: RunAsked) -> RunPlan:
    """The whole plan, with designs and lists laid out in the job's folder. Raises the family's errors."""
    bench = task.bench
    kept = {file: bench.cards.get(name) for file, name in asked.designs.items()}
    images = {each.sha256: each.name for card in kept.values() for each in card.images}
    lists = dict(asked.lists.values())
    sha256s = [*images, *(each for each in lists if each not in images)]
    laid = lay_out(task, sha256s)
    by_hash = dict(zip(sha256s, laid, strict=True))
    paths, names = list(laid), [images.get(each) or lists[each] for each in sha256s]
    for file, (sha256, name) in asked.lists.items():
        os.link(by_hash[sha256], task.folder / file)
        paths.append(task.folder / file)
        names.append(name)
    for file, card in kept.items():
        parts, ours = parts_of(card), {each.name: by_hash[each.sha256].name for each in card.images}
        if not parts.holds_something:
            raise BadRecord(
                f"the card {card.name} holds neither a picture nor a text", "drop a picture on it"
            )
        pictures = tuple(each.model_copy(update={"file": ours[each.file]}) for each in parts.pictures)
        text = card_toml(parts.model_copy(update={"pictures": pictures}))
        write_atomically(task.folder / file, text.encode())
        paths.append(task.folder / file)
        names.append(f"the card {card.name}")
    with under_their_names(paths[::-1], names[::-1]):
        run = asked.run.model_copy(update={"folder": task.folder})
        plan = gather.plan(run, bench)
        papers.label_texts(plan)
        return replace(plan, run=asked.run)


def as_data(asked: RunAsked) -> dict[str, Any]:
    """What was asked for as plain data, for a job and for the shelf."""
    run = asked.run.model_dump(mode="json", exclude={"folder"})
    return {
        "run": run,
        "designs": asked.designs,
        "lists": {file: list(each) for file, each in asked.lists.items()},
    }


def from_data(data: dict[str, Any]) -> RunAsked:
    lists = {file: (str(sha256), str(name)) for file, (sha256, name) in data["lists"].items()}
    return RunAsked(Run.model_validate(data["run"]), dict(data["designs"]), lists)


def asked_of(run: KeptRun) -> RunAsked:
    """What a kept run was asked with. Raises NotFound for one that the command line kept: its files lie elsewhere."""
    if ASKED not in run.plan:
        raise NotFound(
            f"run {run.id} was kept from the command line, where its card files lie",
            f"write its papers there: tackside run picklist {run.file} --out pick.pdf",
        )
    return from_data(run.plan[ASKED])


def keep(
    bench: Bench, incoming: Path, asked: RunAsked, document: dict[str, Any], batches: tuple[KeptBatch, ...]
) -> KeptRun:
    """Keep a planned run with its run file."""
    name = f"{asked.run.name}.toml".replace("/", "-")
    file = incoming / f"run-{os.urandom(8).hex()}.toml"
    try:
        write_atomically(file, run_toml(asked.run).encode())
        sha256 = bench.keep_file(file, name)
    finally:
        file.unlink(missing_ok=True)
    run = KeptRun(
        name=asked.run.name, folder="", file=name, file_sha256=sha256, made_at=datetime.now(UTC), batches=batches,
        plan={**document, ASKED: as_data(asked)},
    )  # fmt: skip
    return bench.runs.add(run, sha256)
