"""Money: exact numbers, rounded once at the end, and what one sheet of a pack costs.

Amounts are exact fractions while they are added and shared out, and decimals of the currency's smallest unit when
they are told. Currencies and their names are those of ISO 4217.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tackside.errors import BadRecord
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records.stock import Pack

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


def digits(currency: str) -> int:
    """How many decimals the currency's smallest unit has; two for a code that is none."""
    return _DIGITS.get(currency, 2)


def refuse_unknown(currency: str) -> None:
    """Raises BadRecord for a code that ISO 4217 does not have."""
    from babel.core import get_global  # slow to import

    if currency not in get_global("all_currencies"):
        raise BadRecord("money.no-such-currency", place=Place("run", ("currency",)), currency=currency)


def rounded(amount: Exact, currency: str) -> Decimal:
    """The amount in whole smallest units, halves away from zero (docs/sources.md, S62)."""
    places = digits(currency)
    scaled = abs(amount) * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return (Decimal(whole) * (-1 if amount < 0 else 1)).scaleb(-places)


def said(amount: Decimal, currency: str) -> str:
    """An amount as it is shown: ``12.40 GBP``."""
    return f"{amount:,.{digits(currency)}f} {currency}"


def sheet_price(pack: Pack | None) -> Exact | None:
    """What one sheet of a pack costs, exact, in the pack's currency; None where the pack has no price."""
    if pack is None or pack.price is None:
        return None
    return Fraction(pack.price) / pack.count


@dataclass(frozen=True)
class Money:
    """An amount in whole smallest units of its currency."""

    amount: Decimal
    currency: str

    @property
    def message(self) -> Message:
        return Message("money.amount", amount=self.amount, currency=self.currency)

    def __str__(self) -> str:
        return str(self.message)


def price_a_sheet(pack: Pack | None) -> Money | None:
    """What one sheet of a pack costs, to the currency's smallest unit; None where the pack has no price.

    All that show the price of a sheet, or hold it against a limit, show and hold this.
    """
    each = sheet_price(pack)
    if pack is None or each is None or pack.currency is None:
        return None
    return Money(rounded(each, pack.currency), pack.currency)
