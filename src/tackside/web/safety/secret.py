"""The secret that form tokens are made with: one of each bench, so that a page outlives the program that served it.

It lies in the bench's folder, readable by its owner alone, and is left out of backups. Whoever may read it may read
the bench too; it guards against pages of other sites, not against them.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from pathlib import Path

from tackside.bench.location import PAGE_SECRET
from tackside.files.atomic import TEMPORARY_PREFIX, new_private_file

LENGTH = 32  # bytes, as long as the digest that it keys
OTHERS = stat.S_IRWXG | stat.S_IRWXO


def secret_of(folder: Path) -> bytes:
    """The secret of the bench in a folder; made where there is none, or where others could read it.

    Where the folder cannot be written to, one that lasts as long as the program.
    """
    place = folder / PAGE_SECRET
    with contextlib.suppress(OSError):
        return _kept(place) or _made(place)
    return secrets.token_bytes(LENGTH)


def _kept(place: Path) -> bytes | None:
    """What is kept; None where nothing sound is."""
    try:
        with place.open("rb") as file:
            is_private = os.name != "posix" or not os.fstat(file.fileno()).st_mode & OTHERS
            found = file.read(LENGTH + 1)
    except FileNotFoundError:
        return None
    if is_private and len(found) == LENGTH:
        return found
    place.unlink()
    return None


def _made(place: Path) -> bytes:
    """A new secret, or that of a program that was quicker. It gets its name once it is whole."""
    new = secrets.token_bytes(LENGTH)
    part = place.with_name(f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}")
    with new_private_file(part) as file:
        file.write(new)
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(part, place)
    except FileExistsError:
        return _kept(place) or new
    finally:
        part.unlink()
    return new
