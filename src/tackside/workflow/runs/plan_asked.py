"""Plan a run of kept designs and lists, first without opening one, and keep it with all that was asked."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.card.file.toml_text import card_toml
from tackside.errors import BadRecord
from tackside.files.atomic import write_atomically
from tackside.records.run import KeptBatch, KeptRun
from tackside.run.papers import papers
from tackside.run.plan.plan import RunPlan
from tackside.run.plan.run_file import RunCard
from tackside.run.plan.run_toml import run_toml
from tackside.workflow.cards.kept import files_of, parts_of, parts_with_files
from tackside.workflow.laid_out import lay_out
from tackside.workflow.runs.asked import ASKED, RunAsked, as_data
from tackside.workflow.runs.plan import plan
from tackside.workflow.sent_files import SentFile, under_their_names


def without_files(bench: Bench, asked: RunAsked) -> RunPlan:
    """The plan as far as it goes before a design or list is opened: all refusals that need neither come at once.

    Where there are none it is the plan itself. Raises BadRecord, NotFound, DoesNotFit.
    """
    cards = tuple(_stand_in(asked, card, bench) for card in asked.run.cards)
    found = plan(bench, asked.run.model_copy(update={"cards": cards}))
    papers.label_texts(found)
    return found


def with_files(bench: Bench, asked: RunAsked, folder: Path) -> RunPlan:
    """The whole plan, with designs and lists laid out in an empty ``folder``. Raises the family's errors."""
    laid = lay_out_asked(bench, asked, folder)
    with under_their_names(laid):
        found = plan(bench, asked.run.model_copy(update={"folder": folder}))
        papers.label_texts(found)
        return replace(found, run=asked.run)


def lay_out_asked(bench: Bench, asked: RunAsked, folder: Path) -> list[SentFile]:
    """Lay out the designs and lists of a run in an empty ``folder``, under the names that its record has for them.
    Raises NotFound, BadRecord."""
    kept = {file: bench.cards.get(name) for file, name in asked.designs.items()}
    files = {sha256: name for card in kept.values() for sha256, name in files_of(card).items()}
    lists = dict(asked.lists.values())
    sha256s = [*files, *(each for each in lists if each not in files)]
    laid = lay_out(bench, folder, sha256s, [files.get(each) or lists[each] for each in sha256s])
    by_hash = {sha256: each.path for sha256, each in zip(sha256s, laid, strict=True)}
    for file, (sha256, name) in asked.lists.items():
        os.link(by_hash[sha256], folder / file)
        laid.append(SentFile(folder / file, name, is_kept=True))
    for file, card in kept.items():
        if not parts_of(card).holds_something:
            raise BadRecord("run.nothing-on-the-card", card=card.name)
        text = card_toml(parts_with_files(card, {sha256: place.name for sha256, place in by_hash.items()}))
        write_atomically(folder / file, text.encode())
        laid.append(SentFile(folder / file, card.name, is_kept=True))
    return laid


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


def keep_asked(
    bench: Bench, incoming: Path, asked: RunAsked, document: dict[str, Any], batches: tuple[KeptBatch, ...]
) -> KeptRun:
    """Keep a planned run with its run file, which is written into ``incoming`` first."""
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
