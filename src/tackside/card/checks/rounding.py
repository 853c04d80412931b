"""Lengths said to the next tenth of a millimetre."""

from __future__ import annotations

import math


def tenths_up(mm: float) -> str:
    """A length that is surely enough: the next tenth of a mm."""
    return f"{math.ceil(mm * 10 - 1e-6) / 10:g}"
