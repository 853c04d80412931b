"""Kept files for a job under names of our own, and messages under the names that the person gave them."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path

from tackside.errors import TacksideError
from tackside.files.atomic import explain
from tackside.web.jobs.engine.task import Task
from tackside.web.shell.sniff import suffix_of


def lay_out(task: Task, sha256s: Sequence[str]) -> list[Path]:
    """Kept files in the job's folder as ``file-1.tif`` and so on; linked where the disk can, copied where not."""
    laid: list[Path] = []
    for number, sha256 in enumerate(sha256s, 1):
        kept = task.bench.file(sha256)
        place = task.folder / f"file-{number}{suffix_of(kept)}"
        try:
            try:
                os.link(kept, place)
            except OSError:
                shutil.copyfile(kept, place)
        except OSError as error:
            raise explain(error, place, "write") from error
        laid.append(place)
    return laid


@contextlib.contextmanager
def under_their_names(laid: Sequence[Path], names: Sequence[str]) -> Iterator[None]:
    """Errors that name a laid-out file name it as the person does."""
    try:
        yield
    except TacksideError as error:
        raise type(error)(renamed(error.what, laid, names), renamed(error.fix, laid, names)) from error


def renamed(text: str, laid: Sequence[Path], names: Sequence[str]) -> str:
    for path, name in zip(laid, names, strict=True):
        text = text.replace(str(path), name).replace(path.name, name)
    return text
