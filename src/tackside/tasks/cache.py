"""What can be made again, kept within bounds: the longest unused goes first, whole, and never while it is in use.

Entries are the folders and files of the cache's rooms (``scans/…``, ``proofs/…``) and what lies in the cache itself.
An entry's age is counted from its last use, which is the time written on it: readers note it. One that was used within
IN_USE stays, whatever the bounds. It is first renamed, then removed: another process finds it whole or not at all, and
of two that remove at once one is simply too late.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tackside.tasks.work_folder import PREFIX, clear_left

MOST_BYTES = 4 * 1024**3
LONGEST_UNUSED = 90 * 24 * 3600.0
IN_USE = 3600.0  # seconds; a page that was opened fetches its parts for as long as it is looked at
EVERY = 3600.0  # seconds between two looks at a whole cache, whoever takes them
NOTED = 300.0  # a use is noted so often at most: a page asks for many parts
FOLDER = "cache"
_PRUNED = ".pruned"
_GONE = ".gone-"
_PART = ".part"
_KEPT_BY_OTHERS = frozenset({"rejudge"})  # ``tasks.parallel`` clears it by itself


@dataclass(frozen=True)
class CacheEntry:
    """``used`` is the time of its last use, in seconds since 1970."""

    path: Path
    size: int
    used: float


@dataclass(frozen=True)
class Pruned:
    """``kept_bytes`` and ``kept`` are what is left."""

    removed: int
    removed_bytes: int
    kept: int
    kept_bytes: int


def note_use(path: Path) -> None:
    """Write on an entry that it is used now; one that is not there, or is not ours to write on, is passed over."""
    with contextlib.suppress(OSError):
        if time.time() - path.stat().st_mtime > NOTED:
            os.utime(path)


def prune_now_and_then(cache: Path, *, every: float = EVERY) -> Pruned | None:
    """``prune``, where no process did within ``every`` seconds; None where one did, or there is no cache to write on.

    It looks at every file, which a program that ends at once should not do each time.
    """
    mark = cache / _PRUNED
    try:
        if mark.exists() and time.time() - mark.stat().st_mtime < every:
            return None
        mark.touch()
    except OSError:
        return None
    return prune(cache)


def prune(
    cache: Path,
    *,
    most_bytes: int = MOST_BYTES,
    longest_unused: float = LONGEST_UNUSED,
    in_use: float = IN_USE,
    now: float | None = None,
) -> Pruned:
    """Remove what was unused for ``longest_unused`` seconds, then the longest unused until the rest is no larger than
    ``most_bytes``. What cannot be removed stays and is counted.
    """
    moment = time.time() if now is None else now
    clear_left(cache)
    _sweep(cache, moment - in_use)
    entries = sorted(entries_of(cache), key=lambda entry: entry.used)
    left, removed, removed_bytes = sum(entry.size for entry in entries), 0, 0
    for entry in entries:
        if moment - entry.used <= in_use:
            break
        if moment - entry.used <= longest_unused and left <= most_bytes:
            break
        if _remove(entry, moment - in_use):
            removed, removed_bytes, left = removed + 1, removed_bytes + entry.size, left - entry.size
    return Pruned(removed, removed_bytes, len(entries) - removed, left)


def entries_of(cache: Path) -> Iterator[CacheEntry]:
    """All entries, except what is being made and what a worker works in."""
    for room in _inside(cache):
        if room.name.startswith((".", PREFIX)) or room.name in _KEPT_BY_OTHERS:
            continue
        if not room.is_dir(follow_symlinks=False):
            yield from _entry(room)
            continue
        for each in _inside(Path(room.path)):
            if not each.name.startswith("."):
                yield from _entry(each)


def _entry(found: os.DirEntry[str]) -> Iterator[CacheEntry]:
    with contextlib.suppress(OSError):  # removed by another meanwhile
        used = found.stat(follow_symlinks=False).st_mtime
        yield CacheEntry(Path(found.path), _size(found), used)


def _size(found: os.DirEntry[str]) -> int:
    if not found.is_dir(follow_symlinks=False):
        return found.stat(follow_symlinks=False).st_size
    size = 0
    for each in _inside(Path(found.path)):
        with contextlib.suppress(OSError):
            size += _size(each)
    return size


def _inside(folder: Path) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as found:
            return list(found)
    except OSError:
        return []


def _remove(entry: CacheEntry, latest: float) -> bool:
    """Whether it is gone; by another's hand as well."""
    gone = entry.path.with_name(f"{_GONE}{secrets.token_hex(6)}")
    try:
        if entry.path.stat().st_mtime > latest:  # used since it was looked at
            return False
        entry.path.rename(gone)
    except FileNotFoundError:
        return True
    except OSError:
        return False
    _clear(gone)
    return True


def _sweep(cache: Path, latest: float) -> None:
    """Remove what a killed process left half removed, or half made."""
    for room in _inside(cache):
        inside = _inside(Path(room.path)) if room.is_dir(follow_symlinks=False) else []
        for each in (room, *inside):
            is_left = each.name.startswith(_GONE) or (each.name.startswith(".") and each.name.endswith(_PART))
            with contextlib.suppress(OSError):
                if is_left and each.stat(follow_symlinks=False).st_mtime <= latest:
                    _clear(Path(each.path))


def _clear(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
        return
    with contextlib.suppress(OSError):
        path.unlink()
