"""Kept files laid out in a folder under names of our own, known by the names that they came under."""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

from tackside.bench.store import Bench
from tackside.files.atomic import explain
from tackside.files.outside import suffix_of
from tackside.messages.message import Message
from tackside.workflow.sent_files import SentFile, names_of, renamed


def lay_out(bench: Bench, folder: Path, sha256s: Sequence[str], names: Sequence[str]) -> list[SentFile]:
    """Kept files in a folder as ``file-1.tif`` and so on; linked where the disk can, copied where not.

    Raises NotFound, StorageTrouble.
    """
    laid: list[SentFile] = []
    for number, (sha256, name) in enumerate(zip(sha256s, names, strict=True), 1):
        kept = bench.file(sha256)
        place = folder / f"file-{number}{suffix_of(kept)}"
        try:
            try:
                os.link(kept, place)
            except OSError:
                shutil.copyfile(kept, place)
        except OSError as error:
            raise explain(error, place, "write") from error
        laid.append(SentFile(place, name, is_kept=True))
    return laid


def known_as(message: Message, files: Sequence[SentFile]) -> Message:
    """What was said of laid-out files, under the names that they came by."""
    return renamed(message, names_of(files))
