"""Numbers as people type them: decimal comma or point, fractions, thousands set apart."""

from __future__ import annotations

import re
from fractions import Fraction

# The fractions that have a sign of their own (Unicode, "Number Forms" and Latin-1).
_SIGNS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
_DECIMAL = r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+"
# Groups of three between signs, then another sign before the decimals: the last sign is the decimal one.
_GROUPED = r"[0-9]{1,3}(?:(?P<group>[.,'’ \u00a0\u202f])[0-9]{3})(?:(?P=group)[0-9]{3})*(?P<point>[.,])[0-9]+"
_FRACTION = r"(?:(?P<whole>[0-9]+)(?:\s+|\s*-\s*))?(?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+)"
# What begins a length, a weight or a price; used by the parsers beside this one.
NUMBER = rf"(?:[0-9]+(?:\s+|\s*-\s*)[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+|{_DECIMAL})"
MOST_DIGITS = 40


def plain(text: str) -> str:
    """The text with signs of fractions written out, spaces at its ends gone, and the spaces of typesetters as common
    ones."""
    for sign, fraction in _SIGNS.items():
        text = text.replace(sign, f" {fraction}")
    return " ".join(text.replace("⁄", "/").split())


def exact(text: str) -> Fraction | None:
    """The number that was typed, exact; None for what is no number of ours.

    ``148.5``, ``148,5``, ``.5``, ``1/2``, ``5 1/2``, ``5-1/2``, ``5½``, ``1,234.50``, ``1.234,50``. A single comma or
    point is the decimal one.
    """
    typed = plain(text)
    sign = -1 if typed[:1] in ("-", "−") else 1
    typed = typed.lstrip("+-−").strip() if typed[:1] in ("+", "-", "−") else typed
    if len(typed) > MOST_DIGITS:
        return None
    if re.fullmatch(_DECIMAL, typed):
        return sign * Fraction(typed.replace(",", ".").rstrip("."))
    if (found := re.fullmatch(_FRACTION, typed)) and int(found["under"]):
        return sign * (int(found["whole"] or 0) + Fraction(int(found["over"]), int(found["under"])))
    if (found := re.fullmatch(_GROUPED, typed)) and found["group"] != found["point"]:
        return sign * Fraction(typed.replace(found["group"], "").replace(",", "."))
    return None


def number(text: str) -> float | None:
    found = exact(text)
    return None if found is None else float(found)


def whole(text: str) -> int | None:
    """A whole number, alone or with what is counted: ``25``, ``25 sheets``, ``pack of 25``; None for what is none."""
    found = re.fullmatch(r"(?:[^\W\d]+\s+){0,3}([+-]?[0-9]{1,12})(?:\s*[^\W\d]+\.?){0,2}", plain(text))
    return None if found is None else int(found[1])
