"""What is asked of somebody who describes a stock or a printer, in order, and how each answer is understood.

Data alone: the terminal asks them one by one or takes them as options, the browser's form offers the same fields.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, TypeAlias

from tackside.errors import BadRequest
from tackside.typed import length, number, price, weight
from tackside.typed.length import Size, Unit

Kind = Literal[
    "text", "choice", "size", "sizes", "length", "caliper", "margins", "weight", "whole", "number", "price"
]
Answer: TypeAlias = "str | float | int | Size | tuple[Size, ...] | tuple[float, ...] | price.TypedPrice"
Answers: TypeAlias = "Mapping[str, Answer]"

# How the size that was given is meant: flat card, the open sheet of a card that folds in half, the folded card itself.
FLAT, OPEN, FOLDED = "flat", "open", "folded"


@dataclass(frozen=True)
class AskedFor:
    """One thing to be known. ``default`` is the answer where a person types nothing, None where nothing is an answer
    too; ``needed``: it has none. ``after``: asked only where another question got one of these answers. ``offered``:
    the sizes that packs and printers have, to be shown beside it.
    """

    key: str
    kind: Kind
    needed: bool = False
    default: str | None = None
    choices: tuple[str, ...] = ()
    after: tuple[str, tuple[str, ...]] | None = None
    offered: tuple[str, ...] = ()


SHEET_SIZES = (
    "A4",
    "A5",
    "A6",
    "A3",
    "US letter",
    "US half letter",
    "5 x 7 in",
    "10 x 7 in",
    "150 mm square",
    "300 x 150",
)
FEED_SIZES = ("A4", "US letter", "A3", "US tabloid", "A3+", "13 x 19 in")

STOCK: tuple[AskedFor, ...] = (
    AskedFor("name", "text", needed=True),
    AskedFor("size", "size", needed=True, offered=SHEET_SIZES),
    AskedFor("folds", "choice", needed=True, choices=(OPEN, FOLDED, FLAT)),
    AskedFor("base", "choice", default="unknown", choices=("photo", "matt", "cotton", "plain", "unknown")),
    AskedFor("weight", "weight"),
    AskedFor("caliper", "caliper"),
    AskedFor("coated", "choice", default="unknown", choices=("front", "back", "both", "none", "unknown")),
    AskedFor(
        "found-by", "choice", default="not-checked", choices=("damp-fingertip", "maker", "not-checked"),
        after=("coated", ("front", "back", "both", "none")),
    ),
    AskedFor("inkjet", "choice", choices=("yes", "no")),
    AskedFor("pack", "whole"),
    AskedFor("price", "price"),
)  # fmt: skip
PRINTER: tuple[AskedFor, ...] = (
    AskedFor("name", "text", needed=True),
    AskedFor("inks", "choice", default="unknown", choices=("dye", "pigment", "mixed", "unknown")),
    AskedFor("ink-count", "whole"),
    AskedFor("grid", "number", default="600", offered=("300", "360", "600", "720")),
    AskedFor("feed", "text", default="rear"),
    AskedFor("largest", "size", needed=True, offered=FEED_SIZES),
    AskedFor("smallest", "size", default="89 x 127 mm"),
    AskedFor("thickest", "caliper"),
    AskedFor("margins", "margins", default="3 mm"),
    AskedFor("borderless", "sizes"),
)


def is_asked(question: AskedFor, answers: Answers) -> bool:
    """Whether a question makes sense after those answers."""
    return question.after is None or answers.get(question.after[0]) in question.after[1]


def understood(question: AskedFor, typed: str, unit: Unit = "mm") -> Answer | None:
    """The answer that was typed; its default, or None, where nothing was. Raises BadRequest, with what would do."""
    text = typed.strip() or (question.default or "")
    if not text:
        if question.needed:
            raise BadRequest("typed.needed")
        return None
    found = _read(question, text, unit)
    if found is None:
        raise _not_understood(question, text)
    return found


def _read(question: AskedFor, text: str, unit: Unit) -> Answer | None:
    match question.kind:
        case "text":
            return text
        case "choice":
            return _choice(text, question.choices)
        case "size":
            return length.size_mm(text, unit)
        case "sizes":
            return _sizes(text, unit)
        case "length":
            return length.length_mm(text, unit)
        # The thinnest things are never told in cm: without a unit they are in mm, or in inches with the page.
        case "caliper":
            return length.caliper_mm(text, "in" if unit == "in" else "mm")
        case "margins":
            return _margins(text, unit)
        case "weight":
            return weight.weight_gsm(text)
        case "whole":
            return number.whole(text)
        case "number":
            return number.number(text.lower().removesuffix("ppi").removesuffix("dpi"))
        case "price":
            return price.price(text)


def _choice(text: str, choices: tuple[str, ...]) -> str | None:
    """The choice that was typed in full, by its number, or by a beginning that no other choice has."""
    word = text.lower().replace(" ", "-")
    if word in choices:
        return word
    if word.isdigit() and 1 <= int(word) <= len(choices):
        return choices[int(word) - 1]
    begun = [each for each in choices if each.startswith(word)]
    return begun[0] if len(begun) == 1 else None


def _sizes(text: str, unit: Unit) -> tuple[Size, ...] | None:
    """Several sizes, between semicolons, commas with a space, or lines; ``none`` for none."""
    if text.lower() in ("none", "no", "-", "–"):
        return ()
    found = [length.size_mm(each, unit) for each in re.split(r"\s*;\s*|,\s+|\n", text) if each.strip()]
    return None if None in found else tuple(each for each in found if each is not None)


def _margins(text: str, unit: Unit) -> tuple[float, ...] | None:
    """One margin for all edges, or four: top, bottom, left, right."""
    found = [length.length_mm(each, unit) for each in re.split(r"\s*;\s*|,\s+", text)]
    known = tuple(each for each in found if each is not None)
    if len(known) != len(found) or len(known) not in (1, 4):
        return None
    return known * 4 if len(known) == 1 else known


_FAULTS = {
    "length": "typed.no-length", "caliper": "typed.no-caliper", "size": "typed.no-size", "sizes": "typed.no-size",
    "weight": "typed.no-weight", "price": "typed.no-price", "whole": "typed.no-whole-number",
    "number": "typed.no-number", "margins": "typed.no-margins",
}  # fmt: skip


def _not_understood(question: AskedFor, text: str) -> BadRequest:
    if question.kind == "choice":
        return BadRequest("typed.no-choice", given=text, choices=question.choices)
    return BadRequest(_FAULTS[question.kind], given=text)


def priced(
    pack: int | None, given: price.TypedPrice | None, currency: str | None
) -> dict[str, object] | None:
    """A pack as its record wants it. Raises BadRequest for a price of no pack or with no currency."""
    if pack is None:
        if given is not None:
            raise BadRequest("typed.price-of-no-pack")
        return None
    if given is None:
        return {"count": pack}
    known = (currency or given.currency) if given.vague or given.currency is None else given.currency
    if known is None:
        raise BadRequest("typed.no-currency", given=str(given.amount))
    return {"count": pack, "price": Decimal(given.amount), "currency": known}
