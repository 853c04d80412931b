"""The job that stands at a scanner while it scans, noted in the bench.

A program that is killed then cannot end it, and the scanner would be busy with it until it gives up by itself.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.parse import urlsplit

from tackside.files.atomic import lock
from tackside.reading.scanning.escl import EsclScanner
from tackside.reading.scanning.escl_job import Note, unnoted

FOLDER = Path("cache", "scanning")
_MOST_BYTES = 2000


@contextmanager
def noted_job(bench_folder: Path, scanner: EsclScanner) -> Iterator[Note]:
    """End a job that a killed program left at the scanner, and note the next.

    The note is locked while a program scans: a job of one that still runs is not touched. Where no note can be kept, on
    a bench that can only be read, scanning goes on without.
    """
    name = hashlib.sha256(scanner.address.encode()).hexdigest()[:16]
    path = bench_folder / FOLDER / f"{name}.job"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        file = os.fdopen(os.open(path, os.O_CREAT | os.O_RDWR | os.O_APPEND, 0o600), "a+b")
    except OSError:
        yield unnoted
        return
    with file:
        try:
            lock(file)
        except OSError:  # another program scans from it
            yield unnoted
            return
        file.seek(0)
        left = file.read(_MOST_BYTES).decode("utf-8", "replace")
        if left and urlsplit(left)[:2] == urlsplit(scanner.address)[:2]:
            scanner.end(left)

        def note(job: str) -> None:
            with suppress(OSError):  # a full disk
                file.truncate(0)
                file.write(job.encode())
                file.flush()

        if left:
            note("")
        yield note
