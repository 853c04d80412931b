"""Files of a bench, named by the SHA-256 of their bytes: ``files/ab/<sha256>``."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

from tackside import __version__
from tackside.bench.files import TEMPORARY_PREFIX, explain, sync_folder
from tackside.bench.tables import FileRow
from tackside.bench.vault import Vault
from tackside.errors import NotFound, StorageTrouble

_CHUNK_BYTES = 1 << 20
# A temporary file older than this was left behind by a process that died.
_LEFT_BEHIND_SECONDS = 24 * 3600.0


class KeptFiles:
    """Copies of the files that records came from. A file is there whole, or not at all."""

    def __init__(self, vault: Vault, folder: Path) -> None:
        self._vault = vault
        self._folder = folder

    def keep(self, path: str | os.PathLike[str]) -> str:
        """Copy a file in, as a stream, and return its SHA-256; keeping it twice keeps it once.

        Raises StorageTrouble where it cannot be read or written.
        """
        source = Path(path)
        with _opened(source) as stream:
            sha256, size = self._copy(stream)
        with self._vault.writing() as session:
            if session.get(FileRow, sha256) is None:
                session.add(
                    FileRow(
                        sha256=sha256,
                        name=source.name[:255],
                        size_bytes=size,
                        kept_at=datetime.now(UTC),
                        version=__version__,
                    )
                )
        return sha256

    def path(self, sha256: str) -> Path:
        """Where a kept file lies. Raises NotFound."""
        if re.fullmatch(r"[0-9a-f]{64}", sha256):
            place = self._place(sha256)
            if place.is_file():
                return place
        raise NotFound(
            f"the bench holds no file {sha256[:64]!r}", "read the file in again, or restore the files folder"
        )

    def _place(self, sha256: str) -> Path:
        return self._folder / sha256[:2] / sha256

    def _sweep(self) -> None:
        for left in self._folder.glob(f"{TEMPORARY_PREFIX}*"):
            with contextlib.suppress(OSError):  # another process may sweep as well
                if time.time() - left.stat().st_mtime > _LEFT_BEHIND_SECONDS:
                    left.unlink()

    def _copy(self, stream: BinaryIO) -> tuple[str, int]:
        """Copy to a temporary file while hashing, then give it its name."""
        temporary = self._folder / f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}"
        digest, size = hashlib.sha256(), 0
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            self._sweep()
            with temporary.open("xb") as copy:
                while chunk := stream.read(_CHUNK_BYTES):
                    digest.update(chunk)
                    size += copy.write(chunk)
                copy.flush()
                os.fsync(copy.fileno())
            place = self._place(digest.hexdigest())
            place.parent.mkdir(exist_ok=True)
            temporary.replace(place)
            sync_folder(place.parent)
        except OSError as error:
            raise explain(error, self._folder, "write") from error
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        return digest.hexdigest(), size


@contextlib.contextmanager
def _opened(source: Path) -> Iterator[BinaryIO]:
    try:
        if source.exists() and not source.is_file():
            raise StorageTrouble(f"cannot read {source}: it is not a file", "name a file")
        stream = source.open("rb")
    except OSError as error:
        raise explain(error, source, "read") from error
    with stream:
        yield stream
