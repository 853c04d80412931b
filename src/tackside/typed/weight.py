"""Weights of paper as people type them: grams a square metre, or pounds of a ream of a class that is said."""

from __future__ import annotations

import re
from fractions import Fraction

from tackside.typed.number import NUMBER, exact, plain

_GSM = {"", "g", "gr", "gsm", "g/m²", "g/m2", "g/qm", "gm2", "gm²", "gram", "grams", "gramm", "grammage"}
_POUND_G = Fraction("453.59237")
_INCH_M = Fraction("0.0254")


def _ream(width_in: int | Fraction, height_in: int | Fraction) -> Fraction:
    """g/m² for each pound that 500 sheets of a basic size weigh."""
    return _POUND_G / (500 * width_in * height_in * _INCH_M**2)


# Basic sizes of the US classes, in inches: common practice of the paper trade, from memory (docs/sources.md, S120).
_CLASSES = {
    "cover": _ream(20, 26), "text": _ream(25, 38), "book": _ream(25, 38), "bond": _ream(17, 22),
    "index": _ream(Fraction(51, 2), Fraction(61, 2)), "bristol": _ream(Fraction(45, 2), Fraction(57, 2)),
}  # fmt: skip


def weight_gsm(text: str) -> float | None:
    """A weight in g/m²: ``300``, ``300gsm``, ``300 g/m²``, ``110 lb cover``. None for what is none: pounds alone say
    nothing, as a ream of cover and one of text differ.
    """
    typed = plain(text).lower()
    found = re.fullmatch(rf"({NUMBER})\s*(.*?)\.?", typed)
    if found is None or (value := exact(found[1])) is None:
        return None
    word = found[2]
    if word in _GSM:
        return round(float(value), 4)
    pounds = re.fullmatch(r"(?:lb|lbs|#|pound|pounds)\.?\s*(\w+)", word)
    if pounds is None or pounds[1] not in _CLASSES:
        return None
    return round(float(value * _CLASSES[pounds[1]]), 1)
