"""What lies in a bench's folder beside its database: kept files by hash, and small files such as scanners."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from tackside.bench.location import FILES, PASSING, is_own
from tackside.files.atomic import TEMPORARY_PREFIX, explain


def kept_hashes(folder: Path) -> Iterator[str]:
    """The hashes that the files in ``files/`` are named by."""
    with _told(folder):
        for place in sorted((folder / FILES).glob("??/*")):
            if re.fullmatch(r"[0-9a-f]{64}", place.name) and place.is_file() and not place.is_symlink():
                yield place.name


def small_files(folder: Path) -> Iterator[str]:
    """The other files of a bench that are worth keeping, as paths from its folder with ``/`` between parts."""
    with _told(folder):
        for place, inner, names in os.walk(folder):
            here = Path(place).relative_to(folder)
            if here == Path():
                inner[:] = [name for name in inner if name not in PASSING]
            inner.sort()
            for name in sorted(names):
                at_top = here == Path() and is_own(name)
                if (
                    not at_top
                    and not name.startswith(TEMPORARY_PREFIX)
                    and not (Path(place) / name).is_symlink()
                ):
                    yield (here / name).as_posix()


def is_safe(path: str) -> bool:
    """Whether a path from an archive stays within the folder it is unpacked to, and replaces no database."""
    parts = PurePosixPath(path).parts
    plain = "\\" not in path and ":" not in path and "\0" not in path and not path.startswith("/")
    inside = bool(parts) and ".." not in parts and len(path) <= 400 and "/".join(parts) == path
    return plain and inside and parts[0] not in PASSING and not is_own(path)


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise explain(error, folder, "read") from error
