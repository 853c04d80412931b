"""The folder of a bench is its owner's: what lies in it is readable by no other account of the machine."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

from tackside.bench.location import DATABASE, POINTER

OTHERS = stat.S_IRWXO
GROUP = stat.S_IRWXG
SHARED = stat.S_IWGRP | stat.S_ISGID


def keep_private(folder: Path) -> None:
    """Shut a bench's folder, and its database, to whoever it is not for, where there are modes; earlier ones lay open.

    A folder that a group may write to, or whose files go to its group (set-group-ID), was given to that group by hand
    and stays the group's. One whose records lie in a database elsewhere is shared by its nature, and stays as it is.
    Where it is another's, nothing is changed.
    """
    if os.name != "posix" or (folder / POINTER).exists():
        return
    with contextlib.suppress(OSError):
        if folder.stat().st_uid != os.geteuid():
            return
        mode = stat.S_IMODE(folder.stat().st_mode)
        taken = OTHERS if mode & SHARED else OTHERS | GROUP
        for each in (folder, folder / DATABASE):
            found = stat.S_IMODE(each.stat().st_mode)
            if found & taken:
                each.chmod(found & ~taken)
