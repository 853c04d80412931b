"""Prices as people type them: with a sign or the letters of a currency before or behind, or with none."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from tackside.typed.number import MOST_DIGITS, exact, plain

# Signs that say one currency. The dollar sign says the United States' unless another stands before it.
_SIGNS = {
    "£": "GBP", "€": "EUR", "¥": "JPY", "₹": "INR", "zł": "PLN", "kč": "CZK", "fr": "CHF", "sfr": "CHF",
    "us$": "USD", "a$": "AUD", "au$": "AUD", "c$": "CAD", "ca$": "CAD", "nz$": "NZD", "hk$": "HKD", "$": "USD",
    "euro": "EUR", "euros": "EUR", "pounds": "GBP", "pound": "GBP", "dollars": "USD", "dollar": "USD",
}  # fmt: skip
_AMOUNT = r"[0-9][0-9.,'’ ]*"


class TypedPrice(NamedTuple):
    """An amount; ``currency`` is the ISO 4217 code that was typed with it, None where none was.

    ``vague``: the sign is that of several currencies, so that one named elsewhere holds.
    """

    amount: Decimal
    currency: str | None
    vague: bool = False


def price(text: str) -> TypedPrice | None:
    """``£38``, ``38 GBP``, ``14,50 €``, ``1.234,50 EUR``, ``38``; None for what is no price.

    ``1,000`` may be a thousand or one with three decimals, and is refused.
    """
    found = re.fullmatch(rf"([^\d\s.,]*)\s*({_AMOUNT}?)(?:[.,][-–])?\s*([^\d\s,]*)", plain(text))
    if found is None:
        return None
    before, digits, behind = found[1].strip("."), found[2].strip(), found[3].strip(".")
    if before and behind:
        return None
    if re.fullmatch(r"[0-9]{1,3}(?:[.,][0-9]{3})", digits) and not digits.startswith("0"):
        return None
    amount = exact(digits)
    word = before or behind
    currency = _currency(word)
    if amount is None or (word and currency is None):
        return None
    places = len(digits) - 1 - max(digits.rfind("."), digits.rfind(",")) if re.search("[.,]", digits) else 0
    # As many decimals as were typed: 12.40 stays 12.40.
    told = (Decimal(amount.numerator) / Decimal(amount.denominator)).quantize(Decimal(1).scaleb(-places))
    return TypedPrice(told, currency, word == "$")


def _currency(word: str) -> str | None:
    if not word or len(word) > MOST_DIGITS:
        return None
    if (found := _SIGNS.get(word.lower())) is not None:
        return found
    return word.upper() if re.fullmatch(r"[A-Za-z]{3}", word) else None
