"""Passing files: where a user's lie, which may be deleted at any time, and how one is held by a single program."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import IO

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
