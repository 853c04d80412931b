"""From cost to price: wholesale and retail by the user's rule, and break-even.

The usual rule (docs/sources.md, S60): price = materials + labour + expenses + profit; twice that is retail.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from tackside.records.money import Exact, digits, rounded
from tackside.run.money.costing import Cost, exact
from tackside.run.plan.run_file import Pricing


@dataclass(frozen=True)
class Price:
    """What one card is sold for, to a shop and to a person (tax included)."""

    wholesale: Decimal
    retail: Decimal


def price_of(unit_cost: Exact, rule: Pricing, currency: str) -> Price:
    """Wholesale and retail. Each is raised to the rule's step, or rounded to the smallest unit where it has none.

    Retail is worked out from the wholesale price as it is shown, so that a shop can follow the sum.
    """
    wholesale = _told(unit_cost * (1 + exact(rule.profit)), rule, currency)
    retail = exact_of(wholesale) * exact(rule.retail_factor) * (1 + exact(rule.tax))
    return Price(wholesale, _told(retail, rule, currency))


def break_even(cost: Cost, cards: int, price: Decimal, tax: float = 0.0) -> int | None:
    """How many cards must be sold at ``price`` (``tax`` in it) until set-up and other fixed costs are back.

    None where a card sold brings less than it costs: no quantity helps then.
    """
    each = (cost.total - cost.fixed) / cards
    left = exact_of(price) / (1 + exact(tax)) - each
    if left <= 0:
        return None
    return int(-(-cost.fixed // left))


def paid_back(paid: Exact, price: Decimal, tax: float = 0.0) -> int | None:
    """How many cards must be sold at ``price`` (``tax`` in it) until all the money ``paid`` is back; None where a card
    brings nothing."""
    each = exact_of(price) / (1 + exact(tax))
    return int(-(-paid // each)) if each > 0 else None


def raised_to(amount: Exact, step: Decimal) -> Exact:
    """The amount raised to the next multiple of ``step``."""
    exact_step = Exact(step)
    return -(-amount // exact_step) * exact_step


def exact_of(amount: Decimal) -> Exact:
    return Exact(amount)


def _told(amount: Exact, rule: Pricing, currency: str) -> Decimal:
    if rule.step is None:
        return rounded(amount, currency)
    return Decimal(rounded(raised_to(amount, rule.step), currency)).quantize(
        Decimal(1).scaleb(-digits(currency))
    )
