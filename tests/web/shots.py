"""Screenshots of pages, kept as artefacts of a test run: in the folder that TACKSIDE_SHOTS names, else here."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[2] / ".artifacts" / "screenshots"
SCREENSHOTS = Path(os.environ.get("TACKSIDE_SHOTS") or FOLDER)
WIDTHS = (390, 820, 1440)


def shoot(page: Any, name: str, width: int, theme: str) -> None:
    """The whole page as it stands, as ``name-width-theme.jpg``."""
    SCREENSHOTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SCREENSHOTS / f"{name}-{width}-{theme}.jpg", full_page=True, type="jpeg", quality=80)
