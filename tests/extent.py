"""How much a study draws: enough to fail on a fault in each run of the suite, and all with ``do.py test --full``.

What a study asks stays the same; only how many kills, spoilt files, designs or photographs it draws does not.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TypeVar

FULL = "TACKSIDE_FULL_STUDIES"
Case = TypeVar("Case")


def drawn(usual: int, full: int) -> int:
    """``usual`` many, or ``full`` many where the full studies are asked for."""
    return full if os.environ.get(FULL) else usual


def share(cases: Sequence[Case], one_in: int, turn: int = 0) -> list[Case]:
    """Every ``one_in``-th of cases that all ask the same, or all of them in full. Which ones goes by the commit, so
    that a run can be repeated and all have their turn; ``turn`` is added where several shares are drawn together."""
    if os.environ.get(FULL):
        return list(cases)
    return list(cases[(_commit() + turn) % one_in :: one_in])


@cache
def _commit() -> int:
    """A number of the commit that is tested; 0 where there is no repository."""
    asked = ("git", "rev-parse", "--short=7", "HEAD")
    try:
        said = subprocess.run(
            asked, cwd=Path(__file__).parent, capture_output=True, text=True, check=False
        ).stdout
    except OSError:
        said = ""
    return int(said.strip() or "0", 16)
