"""Screenshots of pages, for eyes to look at: made where TACKSIDE_SHOTS names a folder for them."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

ASKED = os.environ.get("TACKSIDE_SHOTS")
WIDTHS = (390, 820, 1440)


def shoot(page: Any, name: str, width: int, theme: str) -> None:
    """The whole page as it stands, as ``name-width-theme.jpg``. A run in which nobody looks makes none."""
    if ASKED:
        folder = Path(ASKED)
        folder.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=folder / f"{name}-{width}-{theme}.jpg", full_page=True, type="jpeg", quality=80)
