"""Where a user's passing files lie: they may be deleted at any time."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path


def passing_folder(platform: str = sys.platform, environ: Mapping[str, str] = os.environ) -> Path:
    """What running workbenches say of themselves to later ones, and the machine code of loops."""
    home = Path.home()
    if platform == "win32":
        return Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "tackside" / "Cache"
    if platform == "darwin":
        return home / "Library" / "Caches" / "tackside"
    return Path(environ.get("XDG_CACHE_HOME") or home / ".cache") / "tackside"
