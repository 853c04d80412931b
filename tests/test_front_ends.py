"""Terminal and browser call the workflow: of the floors that compute, only these functions, each for its reason."""

from __future__ import annotations

import ast
from pathlib import Path

import tackside

SOURCE = Path(tackside.__file__).parent
COMPUTING = {
    "card", "colour", "fit", "picture", "press", "profile", "reading", "run", "sheet", "tasks", "verdict",
}  # fmt: skip
ALLOWED = {
    # What came out, as messages or as the document that scripts read.
    "fit.model": {"called"},
    "picture.choose.answer": {"best_of_each_stock", "how", "why"},
    "reading.scanners.correct": {"stated"},
    "run.plan.document": {"document", "kept_batches"},
    "verdict.explain.answers": {"answers_in_words"},
    "verdict.explain.words": {"cause_named"},
    # Where a panel lies on the sheet that is drawn, and the start of a card file.
    "card.file.design": {"template"},
    "card.layout.zones": {"around", "frame_of", "with_bleed"},
    # What a person typed as answers, and which files they named.
    "picture.file.gather": {"gather_pictures"},
    "picture.file.strips": {"check_name"},
    "reading.eye_questions": {"answers_from", "as_given", "asked"},
    "reading.files": {"kind_of"},
    # What lies in the cache, for who serves it or has it made.
    "tasks.artifacts": {"place_of", "preparing", "read_prepared", "tell"},
    "tasks.cache": {"prune_now_and_then"},
    "tasks.work_folder": {"clear_left", "work_folder"},
}


def functions_called_below() -> dict[str, set[str]]:
    """Functions that ``cli`` (but for the demo) and ``web`` import from the floors that compute, by their module."""
    found: dict[str, set[str]] = {}
    for front in ("cli", "web"):
        for file in (SOURCE / front).rglob("*.py"):
            if "demo" in file.relative_to(SOURCE).parts:
                continue
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("tackside."):
                    continue
                module = (node.module or "").removeprefix("tackside.")
                names = {each.name for each in node.names if each.name[0].islower()}
                if names and module.split(".")[0] in COMPUTING:
                    found.setdefault(module, set()).update(names)
    return found


def test_the_front_ends_compute_nothing_themselves() -> None:
    assert functions_called_below() == ALLOWED
