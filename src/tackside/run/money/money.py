"""Money: exact numbers, one currency at a time, rounded once at the end.

Amounts are exact fractions while they are added and shared out, and decimals of the currency's smallest unit when
they are told. Currencies and their names are those of ISO 4217.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from tackside.errors import BadRecord

Exact = Fraction

# ISO 4217, "minor unit" column (docs/sources.md, S62): all that have other than two digits. The CLDR data in
# babel rounds some currencies as they are used in shops (no digits for LAK or IQD), which is not what the
# standard says.
_DIGITS = {
    **dict.fromkeys(
        "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF".split(),  # noqa: SIM905
        0,
    ),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),  # noqa: SIM905
    "CLF": 4,
    "UYW": 4,
}


@lru_cache(maxsize=64)
def digits(currency: str) -> int:
    """How many decimals the currency's smallest unit has. Raises BadRecord for a code that is none."""
    from babel.core import get_global  # slow to import

    if currency not in get_global("all_currencies"):
        raise BadRecord(f'"{currency}" is no currency code', "write the ISO 4217 code, as GBP, EUR or JPY")
    return _DIGITS.get(currency, 2)


def rounded(amount: Exact, currency: str) -> Decimal:
    """The amount in whole smallest units, halves away from zero (docs/sources.md, S62)."""
    places = digits(currency)
    scaled = abs(amount) * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return (Decimal(whole) * (-1 if amount < 0 else 1)).scaleb(-places)


def raised_to(amount: Exact, step: Decimal) -> Exact:
    """The amount raised to the next multiple of ``step``."""
    exact = Fraction(step)
    return -(-amount // exact) * exact


def said(amount: Decimal, currency: str) -> str:
    """An amount as it is shown: ``12.40 GBP``."""
    return f"{amount:,.{digits(currency)}f} {currency}"
