"""Files of a bench, named by the SHA-256 of their bytes: ``files/ab/<sha256>``. Each is there whole, or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from sqlalchemy import select
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import FILE, add_row
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX, explain, sync_folder
from tackside.files.outside import Intake, as_text

_CHUNK_BYTES = 1 << 20
# A temporary file older than this was left behind by a process that died.
_LEFT_BEHIND_SECONDS = 24 * 3600.0


@dataclass(frozen=True)
class StagedFile:
    """A whole copy under a passing name, and the SHA-256 of its bytes."""

    path: Path
    sha256: str
    size_bytes: int


class Shelf:
    """The folder of a bench's files. It knows hashes, and nothing of where a file came from."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def place(self, sha256: str) -> Path:
        """Where the file of that hash lies, or would lie."""
        return self.folder / sha256[:2] / sha256

    def holds(self, sha256: str) -> bool:
        return re.fullmatch(r"[0-9a-f]{64}", sha256) is not None and self.place(sha256).is_file()

    def put(self, stream: IO[bytes], expected: str | None = None) -> tuple[str, int]:
        """Copy a stream in while hashing; its SHA-256 and how many bytes it had.

        Raises StorageTrouble where the disk refuses, or the hash is not the ``expected`` one: nothing is kept then.
        """
        staged = self.stage(stream)
        try:
            if expected not in (None, staged.sha256):
                raise StorageTrouble("bench.file-damaged", sha256=str(expected)[:64])
            self.shelve(staged)
        finally:
            self.discard(staged)
        return staged.sha256, staged.size_bytes

    def stage(self, stream: IO[bytes]) -> StagedFile:
        """Copy a stream in while hashing, to be shelved or discarded. Raises StorageTrouble; nothing is left then."""
        temporary = self.folder / f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}"
        digest, size = hashlib.sha256(), 0
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._sweep()
            with temporary.open("xb") as copy:
                while chunk := stream.read(_CHUNK_BYTES):
                    digest.update(chunk)
                    size += copy.write(chunk)
        except BaseException as error:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
            if isinstance(error, OSError):
                raise explain(error, self.folder, "write") from error
            raise
        return StagedFile(temporary, digest.hexdigest(), size)

    def shelve(self, staged: StagedFile) -> None:
        """Put a staged file in its place, safe from a power cut. Raises StorageTrouble."""
        place = self.place(staged.sha256)
        try:
            with staged.path.open("rb") as copy:
                os.fsync(copy.fileno())
            place.parent.mkdir(exist_ok=True)
            staged.path.replace(place)
            sync_folder(place.parent)
        except OSError as error:
            raise explain(error, self.folder, "write") from error

    def discard(self, staged: StagedFile) -> None:
        """Take a staged file away, where it was not shelved."""
        with contextlib.suppress(OSError):
            staged.path.unlink(missing_ok=True)

    def take(self, other: Shelf, sha256: str) -> None:
        """Bring a file over from another shelf on the same disk. Raises StorageTrouble."""
        place = self.place(sha256)
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            other.place(sha256).replace(place)
            sync_folder(place.parent)
        except OSError as error:
            raise explain(error, self.folder, "write") from error

    def _sweep(self) -> None:
        for left in self.folder.glob(f"{TEMPORARY_PREFIX}*"):
            with contextlib.suppress(OSError):  # another process may sweep as well
                if time.time() - left.stat().st_mtime > _LEFT_BEHIND_SECONDS:
                    left.unlink()


class KeptFiles:
    """Copies of the files that records came from, with the name that each came by."""

    def __init__(self, vault: Vault, folder: Path) -> None:
        self._vault = vault
        self._shelf = Shelf(folder)

    def keep(self, path: str | os.PathLike[str], name: str | None = None) -> str:
        """Copy a file in, as a stream, and return its SHA-256; keeping it twice keeps it once.

        ``name`` is what it is called where that is not the path's own last part.

        Raises StorageTrouble where it cannot be read or written.
        """
        source = Path(path)
        with Intake().open(source) as stream:
            sha256, size = self._shelf.put(stream)
        self.note(sha256, size, name or source.name)
        return sha256

    def note(self, sha256: str, size_bytes: int, name: str) -> None:
        """The row of a file that was put in its place. Raises StorageTrouble."""
        with self._vault.writing() as connection:
            if name_of_file(connection, sha256) is None:
                add_file(connection, sha256, as_text(name)[:255], size_bytes)

    @contextlib.contextmanager
    def arriving(self) -> Iterator[ArrivingFiles]:
        """Files that are copied in while they are read; those that were not kept in the block are gone after it."""
        files = ArrivingFiles(self, self._shelf)
        try:
            yield files
        finally:
            files.discard()

    def path(self, sha256: str) -> Path:
        """Where a kept file lies. Raises NotFound."""
        if self._shelf.holds(sha256):
            return self._shelf.place(sha256)
        raise NotFound("bench.no-file", sha256=sha256[:64])

    def name(self, sha256: str) -> str:
        """What a kept file was called when it came. Raises NotFound."""
        with self._vault.reading() as connection:
            name = name_of_file(connection, sha256)
        if name is None:
            raise NotFound("bench.no-file", sha256=sha256[:64])
        return name


class ArrivingFiles:
    """Files hashed and copied in by one pass over them, so that what is kept is what was hashed as it was read."""

    def __init__(self, kept: KeptFiles, shelf: Shelf) -> None:
        self._kept, self._shelf = kept, shelf
        self._staged: dict[Path, StagedFile] = {}

    def sha256_of(self, path: Path) -> str:
        """The SHA-256 of a file, which is copied meanwhile. Raises StorageTrouble."""
        with Intake().open(path) as stream:
            staged = self._shelf.stage(stream)
        self._forget(path)
        self._staged[path] = staged
        return staged.sha256

    def keep(self, path: Path, name: str) -> str:
        """Keep a file, by its copy where there is one; its SHA-256. Raises StorageTrouble."""
        staged = self._staged.get(path)
        if staged is None:
            return self._kept.keep(path, name)
        self._shelf.shelve(staged)
        self._kept.note(staged.sha256, staged.size_bytes, name)
        self._forget(path)
        return staged.sha256

    def discard(self) -> None:
        """Take away what was not kept."""
        for path in list(self._staged):
            self._forget(path)

    def _forget(self, path: Path) -> None:
        if (staged := self._staged.pop(path, None)) is not None:
            self._shelf.discard(staged)


def name_of_file(connection: Connection, sha256: str) -> str | None:
    """What a file that has a row was called when it came; None where it has none."""
    name: str | None = connection.scalar(select(FILE.c.name).where(FILE.c.sha256 == sha256))
    return name


def add_file(connection: Connection, sha256: str, name: str, size_bytes: int) -> None:
    """The row of a file that has none yet."""
    add_row(
        connection, FILE,
        sha256=sha256, name=name, size_bytes=size_bytes, kept_at=datetime.now(UTC), version=__version__,
    )  # fmt: skip
