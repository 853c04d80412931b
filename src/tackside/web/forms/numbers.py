"""Numbers and lengths as people type them: a point or a comma, a unit of their own or the page's."""

from __future__ import annotations

import re

from tackside.messages.wording import Units
from tackside.units import MM_PER_INCH

_NUMBER = r"[+-]?(\d+([.,]\d*)?|[.,]\d+)"
_PER_UNIT = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, '"': MM_PER_INCH, "″": MM_PER_INCH}


def number(text: str) -> float | str | None:
    """A number; None where nothing was typed; the text itself where it is none, for the record to refuse."""
    typed = text.strip()
    if not typed:
        return None
    if re.fullmatch(_NUMBER, typed) is None:
        return typed
    return float(typed.replace(",", "."))


def whole(text: str) -> int | str | None:
    typed = text.strip()
    if not typed:
        return None
    return int(typed) if re.fullmatch(r"[+-]?\d{1,12}", typed) else typed


def length_mm(text: str, units: Units) -> float | str | None:
    """A length in mm, from ``5.25`` in the page's unit or from ``5.25 in``, ``133 mm``, ``13.3 cm``."""
    typed = text.strip()
    found = re.fullmatch(rf"({_NUMBER})\s*(mm|cm|in|\"|″)?", typed)
    if found is None:
        return typed or None
    unit = found.groups()[-1] or units
    return round(float(found[1].replace(",", ".")) * _PER_UNIT[unit], 4)
