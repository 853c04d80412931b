"""A folder for what only passes through: one program's alone, gone when it is done with it.

A program that is killed leaves it behind; the next one that needs such a folder, or clears up, removes it. A lock tells
whether its program still runs, among those of one computer: on a disk that several share a lock may not reach further,
so that a folder of another is removed when nothing was put into it for a day.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import platform
import secrets
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from tackside.files.atomic import lock

PREFIX = "work-"
LEFT_AFTER_SECONDS = 24 * 3600.0
_HELD = ".held"
_TRIES = 3


@contextlib.contextmanager
def work_folder(cache: Path) -> Iterator[Path]:
    """An empty folder in ``cache``, for the block alone; in the system's own place where none can be made there."""
    clear_left(cache)
    try:
        folder, held = _made(cache)
    except OSError:
        with tempfile.TemporaryDirectory(prefix="tackside-") as name:
            yield Path(name)
        return
    try:
        yield folder
    finally:
        held.close()
        shutil.rmtree(folder, ignore_errors=True)


def clear_left(cache: Path) -> None:
    """Remove the folders that killed programs left; those in use, and what cannot be removed, stay."""
    with contextlib.suppress(OSError):
        for folder in cache.glob(f"{PREFIX}*"):
            with contextlib.suppress(OSError):
                _clear_where_left(folder)


def _clear_where_left(folder: Path) -> None:
    held = folder / _HELD
    if folder.name.startswith(_prefix_here()) and held.exists():
        with held.open("r+b") as file:
            lock(file)  # refused while its program runs
            shutil.rmtree(folder, ignore_errors=True)
    elif time.time() - folder.stat().st_mtime <= LEFT_AFTER_SECONDS:
        return
    shutil.rmtree(folder, ignore_errors=True)  # what Windows keeps while a file in it is open


def _made(cache: Path) -> tuple[Path, IO[bytes]]:
    """A new folder, held by the file in it that is locked. Raises OSError, also on a disk that knows no locks."""
    for _ in range(_TRIES):
        folder = cache / f"{_prefix_here()}{secrets.token_hex(6)}"
        folder.mkdir(parents=True)
        file = (folder / _HELD).open("xb")
        with contextlib.suppress(OSError):
            lock(file)
            if (folder / _HELD).exists():  # nobody took it for one that was left, in the moment before
                return folder, file
        file.close()
        shutil.rmtree(folder, ignore_errors=True)
    raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK), str(cache))


def _prefix_here() -> str:
    return f"{PREFIX}{hashlib.sha256(platform.node().encode()).hexdigest()[:8]}-"
