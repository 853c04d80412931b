"""Files written whole or not at all: a temporary file in the same folder, fsync, then a rename."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

from tackside.errors import StorageTrouble

TEMPORARY_PREFIX = ".tackside-"

# errno → what is wrong, and the mend.
_REASONS: dict[int, tuple[str, str]] = {
    errno.ENOSPC: ("the disk is full", "free some space, then run this again"),
    errno.EDQUOT: ("your share of the disk is used up", "free some space, then run this again"),
    errno.EFBIG: ("the file is larger than this disk or account allows", "choose a folder on another disk"),
    errno.EACCES: (
        "permission is refused",
        "choose a folder that you may write to, or change its permissions",
    ),
    errno.EPERM: (
        "permission is refused",
        "choose a folder that you may write to, or change its permissions",
    ),
    errno.EROFS: ("the disk can only be read", "choose a folder on a disk that can be written"),
    errno.ENOENT: ("the file or its folder does not exist", "check the name, or make the folder first"),
    errno.ENOTDIR: ("a part of its path is a file, not a folder", "check the name"),
    errno.EISDIR: ("it is a folder", "name a file"),
    errno.ENAMETOOLONG: ("the name is too long", "choose a shorter name"),
    errno.EIO: ("the disk reports a fault", "check the disk, and keep a copy of your records elsewhere"),
    errno.EMFILE: ("too many files are open", "close other programs, then run this again"),
}


def explain(error: OSError, path: Path, doing: str) -> StorageTrouble:
    """What an OSError means to a person. ``doing`` is ``"write"`` or ``"read"``."""
    reason, mend = _REASONS.get(
        error.errno or 0, (error.strerror or type(error).__name__, "check the disk and the name")
    )
    return StorageTrouble(f"cannot {doing} {path}: {reason}", mend)


@contextlib.contextmanager
def atomic_path(path: str | os.PathLike[str]) -> Iterator[Path]:
    """Give a temporary path in the folder of ``path``; rename it to ``path`` if the block succeeds.

    The temporary file exists (empty) and has the suffix of ``path``, so that libraries which choose a
    format by suffix are served. If the block fails or the process dies, ``path`` is what it was before.

    Raises StorageTrouble for any OSError, the block's own included.
    """
    target = Path(path)
    try:
        target = target.resolve()  # a link is written through, not replaced
        _refuse_other_than_file(target)
        temporary = _make_temporary(target)
    except (OSError, RuntimeError) as error:  # RuntimeError: a loop of links, before Python 3.13
        raise _translated(error, target) from error
    try:
        yield temporary
        _sync_file(temporary)
        temporary.replace(target)
        sync_folder(target.parent)
    except OSError as error:
        raise _translated(error, target, temporary) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def write_atomically(path: str | os.PathLike[str], data: bytes) -> None:
    """Write ``data`` to ``path``, whole or not at all. Raises StorageTrouble."""
    with atomic_path(path) as temporary, temporary.open("wb") as file:
        file.write(data)


def sha256_of(path: str | os.PathLike[str]) -> str:
    """The SHA-256 of a file's bytes in hexadecimal, read as a stream. Raises StorageTrouble."""
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise explain(error, Path(path), "read") from error


def _translated(error: Exception, target: Path, temporary: Path | None = None) -> StorageTrouble:
    if not isinstance(error, OSError):
        return StorageTrouble(f"cannot write {target}: its links run in a circle", "name the file itself")
    other = error.filename is not None and Path(os.fsdecode(error.filename)) not in {target, temporary}
    if other and temporary is not None:  # the block stumbled over a file of its own
        return explain(error, Path(os.fsdecode(error.filename)), "use")
    return explain(error, target, "write")


def _refuse_other_than_file(target: Path) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(target))
    if target.exists() and not target.is_file():  # a rename would put a file in a device's place
        raise StorageTrouble(f"cannot write {target}: it is a device, not a file", "name a file")


def _make_temporary(target: Path) -> Path:
    temporary = target.parent / f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}{target.suffix}"
    os.close(os.open(temporary, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
    return temporary


def _sync_file(path: Path) -> None:
    with path.open("r+b") as file:  # Windows syncs only what is open for writing
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make the rename itself last; only POSIX can open a folder."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
