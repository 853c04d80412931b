"""Lengths that people are to set, rounded so that they are surely enough."""

from __future__ import annotations

import math


def up_to_tenth(mm: float) -> float:
    """The next tenth of a mm."""
    return math.ceil(mm * 10 - 1e-6) / 10
