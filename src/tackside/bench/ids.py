"""Ids that a person can read out and type, the same for the same inputs."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from tackside.records import Printer, Record, Stock
from tackside.records.sheet_plan import Purpose, Side, Space

# Crockford's base 32: no I, L, O or U, so that nothing is misread.
CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
ID_LENGTH = 8


def canonical(record: Record) -> str:
    """A record as JSON in one fixed form: equal records give equal text."""
    return json.dumps(
        record.model_dump(mode="json"), sort_keys=True, separators=(",", ":"), ensure_ascii=False
    )


def combination_of(
    stock: Stock,
    printer: Printer,
    *,
    purpose: Purpose,
    space: Space | None,
    side: Side,
    feed: str,
    practice: bool = False,
) -> str:
    """The SHA-256, in hexadecimal, over all that a test sheet is made from; one of practice is another."""
    parts: list[Any] = [canonical(stock), canonical(printer), purpose, space, side, feed]
    if practice:
        parts.append("practice")
    return hashlib.sha256(json.dumps(parts, ensure_ascii=False).encode()).hexdigest()


def trial_id(
    stock: Stock,
    printer: Printer,
    *,
    purpose: Purpose,
    space: Space | None,
    side: Side,
    feed: str,
    ordinal: int = 1,
) -> str:
    """Eight characters for the ``ordinal``-th trial of one combination: same input, same id."""
    combination = combination_of(stock, printer, purpose=purpose, space=space, side=side, feed=feed)
    return id_of(combination, ordinal)


def id_of(combination: str, ordinal: int) -> str:
    digest = hashlib.sha256(f"{combination}/{ordinal}".encode()).digest()
    number = int.from_bytes(digest, "big") >> (256 - 5 * ID_LENGTH)
    return "".join(CROCKFORD[number >> shift & 31] for shift in range(5 * (ID_LENGTH - 1), -1, -5))


def typed(word: str) -> str:
    """A trial id as someone typed it, in the form it is kept: capitals, look-alikes undone."""
    return word.strip().upper().translate(str.maketrans("ILO", "110"))
