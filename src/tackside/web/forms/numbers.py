"""What was typed into a field, for a record to check: understood where it can be, else the text as it is.

The parsers are those of ``typed``, which the terminal asks too.
"""

from __future__ import annotations

from tackside.messages.wording import Units
from tackside.typed import length
from tackside.typed import number as numbers
from tackside.typed import price as prices
from tackside.typed import weight as weights
from tackside.typed.price import TypedPrice


def number(text: str) -> float | str | None:
    """A number; None where nothing was typed; the text itself where it is none, for the record to refuse."""
    found = numbers.number(text)
    return text.strip() or None if found is None else found


def whole(text: str) -> int | str | None:
    found = numbers.whole(text)
    return text.strip() or None if found is None else found


def weight(text: str) -> float | str | None:
    """A weight in g/m²: ``300``, ``300 gsm``, ``110 lb cover``."""
    found = weights.weight_gsm(text)
    return text.strip() or None if found is None else found


def price(text: str) -> TypedPrice | str | None:
    """A price with its currency, where one was typed: ``14,50 €``."""
    found = prices.price(text)
    return text.strip() or None if found is None else found


def length_mm(text: str, units: Units) -> float | str | None:
    """A length in mm, from ``5.25`` in the page's unit or from ``5 1/4 in``, ``133 mm``, ``13.3 cm``."""
    found = length.length_mm(text, units)
    return text.strip() or None if found is None else found


def caliper_mm(text: str, units: Units) -> float | str | None:
    """The same of a thickness, which may be in µm or mil."""
    found = length.caliper_mm(text, units)
    return text.strip() or None if found is None else found
