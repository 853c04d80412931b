"""Files of a bench, named by the SHA-256 of their bytes: ``files/ab/<sha256>``."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

from tackside import __version__
from tackside.bench.database.session import Vault
from tackside.bench.database.tables import FileRow
from tackside.bench.repositories.blob_store import Shelf
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import explain
from tackside.messages.message import Message


class KeptFiles:
    """Copies of the files that records came from. A file is there whole, or not at all."""

    def __init__(self, vault: Vault, folder: Path) -> None:
        self._vault = vault
        self._shelf = Shelf(folder)

    def keep(self, path: str | os.PathLike[str], name: str | None = None) -> str:
        """Copy a file in, as a stream, and return its SHA-256; keeping it twice keeps it once.

        ``name`` is what it is called where that is not the path's own last part.

        Raises StorageTrouble where it cannot be read or written.
        """
        source = Path(path)
        with _opened(source) as stream:
            sha256, size = self._shelf.put(stream)
        with self._vault.writing() as session:
            if session.get(FileRow, sha256) is None:
                session.add(
                    FileRow(
                        sha256=sha256,
                        name=(name or source.name)[:255],
                        size_bytes=size,
                        kept_at=datetime.now(UTC),
                        version=__version__,
                    )
                )
        return sha256

    def path(self, sha256: str) -> Path:
        """Where a kept file lies. Raises NotFound."""
        if self._shelf.holds(sha256):
            return self._shelf.place(sha256)
        raise NotFound("bench.no-file", sha256=sha256[:64])

    def name(self, sha256: str) -> str:
        """What a kept file was called when it came. Raises NotFound."""
        with self._vault.reading() as session:
            row = session.get(FileRow, sha256)
            if row is None:
                raise NotFound("bench.no-file", sha256=sha256[:64])
            return row.name


@contextlib.contextmanager
def _opened(source: Path) -> Iterator[BinaryIO]:
    try:
        if source.exists() and not source.is_file():
            raise StorageTrouble("file.cannot-read", file=str(source), reason=Message("file.is-no-file"))
        stream = source.open("rb")
    except OSError as error:
        raise explain(error, source, "read") from error
    with stream:
        yield stream
