"""Files of a bench, named by the SHA-256 of their bytes: ``files/ab/<sha256>``. Each is there whole, or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from tackside import __version__
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import FileRow
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX, explain, sync_folder
from tackside.files.outside import Intake, as_text

_CHUNK_BYTES = 1 << 20
# A temporary file older than this was left behind by a process that died.
_LEFT_BEHIND_SECONDS = 24 * 3600.0


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
        temporary = self.folder / f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}"
        digest, size = hashlib.sha256(), 0
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._sweep()
            with temporary.open("xb") as copy:
                while chunk := stream.read(_CHUNK_BYTES):
                    digest.update(chunk)
                    size += copy.write(chunk)
                copy.flush()
                os.fsync(copy.fileno())
            if expected not in (None, digest.hexdigest()):
                raise StorageTrouble("bench.file-damaged", sha256=str(expected)[:64])
            place = self.place(digest.hexdigest())
            place.parent.mkdir(exist_ok=True)
            temporary.replace(place)
            sync_folder(place.parent)
        except OSError as error:
            raise explain(error, self.folder, "write") from error
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        return digest.hexdigest(), size

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
        with self._vault.writing() as session:
            if session.get(FileRow, sha256) is None:
                session.add(
                    FileRow(
                        sha256=sha256,
                        name=as_text(name or source.name)[:255],
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
