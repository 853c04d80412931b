"""How much a study draws: enough to fail on a fault in each run of the suite, and all with ``do.py test --full``.

What a study asks stays the same; only how many kills, spoilt files, designs or photographs it draws does not.
"""

from __future__ import annotations

import os

FULL = "TACKSIDE_FULL_STUDIES"


def drawn(usual: int, full: int) -> int:
    """``usual`` many, or ``full`` many where the full studies are asked for."""
    return full if os.environ.get(FULL) else usual
