"""Files written whole or not at all, and over nothing unasked: a temporary file beside them, fsync, then a rename.

And passing files: where a user's lie, which may be deleted at any time, and how one is held by a single program.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import IO, BinaryIO, Literal

from tackside.errors import BadRequest, StorageTrouble
from tackside.files.outside import Intake, as_text, fault_of_name, shown
from tackside.files.reasons import reason_of
from tackside.messages.message import Message

TEMPORARY_PREFIX = ".tackside-"

Doing = Literal["read", "write", "use"]


def explain(error: OSError, path: Path, doing: Doing) -> StorageTrouble:
    """What an OSError means to a person, and which file it is about."""
    return StorageTrouble(f"file.cannot-{doing}", file=str(path), reason=reason_of(error))


def is_of_the_disk(error: OSError) -> bool:
    """Whether it is about a file or the disk, and not about a network or another program."""
    return error.filename is not None or reason_of(error).code != "file.system-says"


def disk_trouble(error: OSError) -> StorageTrouble:
    """What an OSError means that nobody nearer to it has explained: it names the file at most."""
    if not isinstance(error.filename, (str, bytes)):
        return StorageTrouble("file.disk-refuses", reason=reason_of(error))
    return explain(error, Path(os.fsdecode(error.filename)), "use")


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
    except UnicodeEncodeError as error:  # a library that wants UTF-8 of every path
        reason = Message("file.name-not-text")
        raise StorageTrouble("file.cannot-write", file=str(target), reason=reason) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def write_atomically(path: str | os.PathLike[str], data: bytes) -> None:
    """Write ``data`` to ``path``, whole or not at all. Raises StorageTrouble."""
    with atomic_path(path) as temporary, temporary.open("wb") as file:
        file.write(data)


def new_private_file(path: Path) -> BinaryIO:
    """A new file to be written, which its owner alone may read from its first moment. Raises OSError."""
    return os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb")


def write_text(path: str | os.PathLike[str], text: str) -> None:
    """Write UTF-8, whole or not at all; bytes of names in it that are no text are �. Raises StorageTrouble."""
    write_atomically(path, as_text(text).encode("utf-8"))


def sha256_of(path: str | os.PathLike[str]) -> str:
    """The SHA-256 of a file's bytes in hexadecimal, read as a stream. Raises StorageTrouble."""
    with Intake().open(Path(path)) as file:
        try:
            return hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            raise explain(error, Path(path), "read") from error


def _translated(error: Exception, target: Path, temporary: Path | None = None) -> StorageTrouble:
    if not isinstance(error, OSError):
        return StorageTrouble("file.cannot-write", file=str(target), reason=Message("file.links-in-a-circle"))
    other = error.filename is not None and Path(os.fsdecode(error.filename)) not in {target, temporary}
    if other and temporary is not None:  # the block stumbled over a file of its own
        return explain(error, Path(os.fsdecode(error.filename)), "use")
    return explain(error, target, "write")


def _require_writable(output: Path) -> None:
    """Raises StorageTrouble for a folder, a device, a name that can't be, and a path through a file."""
    fault = fault_of_name(output)
    if fault is not None:
        raise StorageTrouble("file.cannot-write", file=shown(output), reason=fault)
    try:
        target = output.resolve()
        _refuse_other_than_file(target)
        if target.parent.exists() and not target.parent.is_dir():  # a folder that is missing may be made yet
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(target))
    except (OSError, RuntimeError) as error:
        raise _translated(error, output) from error


def _refuse_other_than_file(target: Path) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(target))
    if target.exists() and not target.is_file():  # a rename would put a file in a device's place
        raise StorageTrouble("file.cannot-write", file=str(target), reason=Message("file.is-device"))


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


def require_free(*outputs: Path | None, force: bool, inputs: Iterable[Path | None] = ()) -> None:
    """Raises BadRequest where an output is one of the ``inputs``, or is there already and not to be replaced by
    ``force``, and StorageTrouble where no file can be: before anything is worked out. Outputs and inputs that are None
    count for nothing.
    """
    for each in outputs:
        if each is not None:
            _require_writable(each)
    there = [each for each in outputs if each is not None and each.is_file()]
    given = [each for each in inputs if each is not None and each.is_file()]
    for each in there:
        if any(each.samefile(one) for one in given):
            raise BadRequest("file.is-an-input", file=str(each))
        if not force:
            raise BadRequest("file.there-already", file=str(each))


# A lock lies far behind the text, as Windows lets nobody read what is locked.
_LOCKED_AT = 1 << 20


def passing_folder(platform: str = sys.platform, environ: Mapping[str, str] = os.environ) -> Path:
    """What running workbenches say of themselves to later ones, and the machine code of loops."""
    home = Path.home()
    if platform == "win32":
        return Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "tackside" / "Cache"
    if platform == "darwin":
        return home / "Library" / "Caches" / "tackside"
    return Path(environ.get("XDG_CACHE_HOME") or home / ".cache") / "tackside"


def lock(file: IO[bytes]) -> None:
    """Hold an opened file for as long as it is open. A system frees the locks of a program that has ended in whatever
    way, so that nothing has to be cleared up. Raises OSError where another holds it.
    """
    if sys.platform == "win32":
        import msvcrt

        file.seek(_LOCKED_AT)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
