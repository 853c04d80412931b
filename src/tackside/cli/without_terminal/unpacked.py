"""What the single file unpacked: a folder for each version, which nobody else would clear away."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

FOLDER = "unpacked"
# Longer than anybody keeps a workbench open: a version that still runs is never taken away under its feet.
UNUSED_SECONDS = 30 * 24 * 3600.0


def forget_older(program: Path, now: float | None = None) -> None:
    """Remove the folders of versions that have not been started for a month, where ``program`` lies beside them.

    The head of the single file notes each start in the time of the folder. What cannot be removed stays.
    """
    own = program.parents[1]
    if own.parent.name != FOLDER:
        return
    before = (time.time() if now is None else now) - UNUSED_SECONDS
    for folder in own.parent.iterdir():
        try:
            is_old = folder != own and folder.stat().st_mtime < before
        except OSError:
            continue
        if is_old:
            shutil.rmtree(folder, ignore_errors=True)
