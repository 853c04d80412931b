"""A run file read from disk: checked, and kept from reaching for files elsewhere."""

from __future__ import annotations

import os
from pathlib import Path

from tackside.errors import BadRecord
from tackside.files.toml_records import load_record
from tackside.messages.place import Place
from tackside.run.plan.run_file import Run


def load_run(path: Path | str) -> Run:
    """Read a run file. Raises BadRecord, naming the field."""
    path = Path(path)
    run = load_record(path, Run)
    if "folder" in run.model_fields_set:
        raise BadRecord("run.folder-given", file=str(path))
    for at, card in enumerate(run.cards):
        for name, file in (("file", card.file), ("recipients", card.recipients)):
            if file is not None and _leaves(file):
                place = Place("run", ("cards", at, name))
                raise BadRecord(
                    "run.card-file-outside", place=place, run_file=str(path), card=card.name, file=file
                )
    for at, file in enumerate(run.labels.fonts):
        if _leaves(file):
            place = Place("run", ("labels", "fonts", at))
            raise BadRecord("run.font-outside", place=place, run_file=str(path), file=file)
    return run.model_copy(update={"folder": path.parent})


def _leaves(file: str) -> bool:
    """A run file may come from anybody; it must not reach for files elsewhere on the disk."""
    plain = os.path.normpath(file.replace("\\", "/"))
    return "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]
