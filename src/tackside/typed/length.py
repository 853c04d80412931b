"""Lengths, sizes and calipers as people type them: a unit of their own or the page's, and sizes by name."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from tackside.fit.sizes.format_tables import CARDS, SHEETS
from tackside.typed.number import NUMBER, exact, plain

Unit = Literal["mm", "cm", "in"]
UNITS: tuple[Unit, ...] = ("mm", "cm", "in")
Size = tuple[float, float]

_INCH = Fraction(254, 10)
_MM: dict[str, Fraction] = {
    **dict.fromkeys(
        ("mm", "millimetre", "millimetres", "millimeter", "millimeters", "millimètre", "millimètres"), Fraction(1)
    ),
    **dict.fromkeys(
        ("cm", "centimetre", "centimetres", "centimeter", "centimeters", "zentimeter", "centimètre", "centimètres"),
        Fraction(10),
    ),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mètre", "mètres"), Fraction(1000)),
    **dict.fromkeys(("in", "ins", "inch", "inches", "zoll", "pouce", "pouces", "po", '"', "″", "”", "''"), _INCH),
}  # fmt: skip
# A caliper is told in thousandths too: of a mm, or of an inch (mil, thou; the trade's "pt" of card is the same).
_CALIPER: dict[str, Fraction] = {
    **dict.fromkeys(("µm", "μm", "um", "micron", "microns", "micrometre", "micrometres"), Fraction(1, 1000)),
    **dict.fromkeys(("mil", "mils", "thou", "pt", "pts", "point", "points"), _INCH / 1000),
}
_UNIT_WORD = r"[^\W\d_]+|\"|″|”|''"
_ONE = rf"(?P<number{{0}}>{NUMBER})\s*(?P<unit{{0}}>{_UNIT_WORD})?\.?"
_TIMES = r"\s*(?:[x×*✕]|\bby\b|\bmal\b|\bsur\b)\s*"
_SQUARE = "(?:square|quadrat|carré)"
# Words of other languages for the names of sheets → what the tables call them.
_WORDS = {"lettre": "letter", "demi": "half", "halbes": "half", "tabloïd": "tabloid"}
PLACES = 4  # of a mm that are kept


def length_mm(text: str, unit: Unit = "mm") -> float | None:
    """A length in mm from ``148,5``, ``14.85 cm``, ``5 1/2 in``, ``5½"``; a bare number is in ``unit``. None for what
    is no length.
    """
    return _length(text, unit, _MM)


def caliper_mm(text: str, unit: Unit = "mm") -> float | None:
    """A caliper in mm; ``320 µm``, ``12 mil`` and ``12 pt`` are understood too."""
    return _length(text, unit, {**_MM, **_CALIPER})


def _length(text: str, unit: Unit, units: dict[str, Fraction]) -> float | None:
    found = re.fullmatch(rf"(?P<sign>[+\-−]?)\s*{_ONE.format('')}", plain(text), re.IGNORECASE)
    if found is None:
        return None
    mm = _mm(found["number"], found["unit"], unit, units)
    return None if mm is None else -mm if found["sign"] in ("-", "−") else mm


def size_mm(text: str, unit: Unit = "mm") -> Size | None:
    """A size (width, height) in mm, in the order in which it was typed; None for what is none.

    ``A5``, ``US letter`` and the other named sheets and cards (short edge first; ``A5 landscape``: long edge first),
    ``148 x 210``, ``21 x 29.7 cm``, ``5 x 7 in``, ``5in by 7in``, ``150 mm square``. A unit said once holds for both.
    """
    typed = plain(text)
    if (name := _named(typed)) is not None:
        return name
    if square := re.fullmatch(rf"(.+?)\s+{_SQUARE}|{_SQUARE}\s+(.+)", typed, re.IGNORECASE):
        side = length_mm(square[1] or square[2], unit)
        return None if side is None else (side, side)
    pattern = rf"{_ONE.format(1)}{_TIMES}{_ONE.format(2)}"
    found = re.fullmatch(pattern, typed, re.IGNORECASE)
    if found is None:
        return None
    common = found["unit2"] or found["unit1"]
    width = _mm(found["number1"], found["unit1"] or common, unit, _MM)
    height = _mm(found["number2"], found["unit2"] or common, unit, _MM)
    return None if width is None or height is None else (width, height)


def _mm(digits: str, word: str | None, unit: Unit, units: dict[str, Fraction]) -> float | None:
    value, times = exact(digits), units.get((word or unit).lower())
    return None if value is None or times is None else round(float(value * times), PLACES)


def _key(name: str) -> str:
    """A name without its spaces; ``Letter US`` is the same as ``US letter``."""
    words = [_WORDS.get(each, each) for each in re.split(r"[\s\-]+", name.lower()) if each]
    return "".join([*words[-1:], *words[:-1]] if words[-1:] == ["us"] else words)


# By name; the ISO sheets come first, so that A6 and A7 are theirs and the US cards are told by "US".
_BY_NAME: dict[str, Size] = {}
for _format in (*SHEETS, *CARDS):
    _size = (round(_format.short_mm, PLACES), round(_format.long_mm, PLACES))
    for _name in (_format.name, _format.name.removeprefix("US ") if _format in SHEETS else _format.name):
        _BY_NAME.setdefault(_key(_name), _size)
_BY_NAME |= {"a3+": (329.0, 483.0), "thirdofa4": (99.0, 210.0)}


def _named(typed: str) -> Size | None:
    name, long_first = typed, False
    if found := re.fullmatch(r"(.+?)\s+(landscape|portrait|quer|hoch|paysage)", typed, re.IGNORECASE):
        name, long_first = found[1], found[2].lower() in ("landscape", "quer", "paysage")
    size = _BY_NAME.get(re.sub("^(din|iso)(?=[ab])", "", _key(name)))
    return None if size is None else size[::-1] if long_first else size
