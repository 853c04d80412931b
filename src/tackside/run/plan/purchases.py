"""What must be bought, in whole packs, and what is left over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tackside.records import Pack
from tackside.records.money import Exact, rounded, sheet_price
from tackside.run.money.costing import HIGH, Prices, sheets_of
from tackside.run.plan.batches import Batch
from tackside.run.plan.run_file import Run
from tackside.run.plan.waste import Spoilage

PACKED = ("stock", "envelopes", "sleeves")  # parts of the cost that are bought in packs


@dataclass(frozen=True)
class Purchase:
    """What must be bought of one thing, in whole packs, and what is left over."""

    name: str
    needed: int
    on_hand: int
    packs: int
    pack_count: int
    left_over: int
    outlay: Decimal


def stock_purchases(
    run: Run, batches: Sequence[Batch], spoilages: Sequence[Spoilage], prices: Prices, case: int
) -> tuple[Purchase, ...]:
    needed: dict[str, int] = {}
    for batch, spoilage in zip(batches, spoilages, strict=True):
        needed[batch.stock] = needed.get(batch.stock, 0) + sheets_of(batch, spoilage, case).total
    return tuple(
        _purchase(name, count, run.on_hand.get(name, 0), prices.packs[name], run.currency)
        for name, count in needed.items()
    )


def other_purchases(run: Run, quantity: int) -> tuple[Purchase, ...]:
    wanted = (("envelopes", run.envelopes), ("sleeves", run.sleeves))
    return tuple(
        _purchase(name, quantity, run.on_hand.get(name, 0), pack, run.currency)
        for name, pack in wanted
        if pack
    )


def left_over(run: Run, batches: Sequence[Batch], spoilages: Sequence[Spoilage], prices: Prices) -> Exact:
    """The money in what is left of the packs bought, at the highest use: lost if nobody ever needs it."""
    quantity = sum(batch.cards for batch in batches)
    bought = (
        *((each, prices.packs[each.name]) for each in stock_purchases(run, batches, spoilages, prices, HIGH)),
        *(
            (each, run.envelopes if each.name == "envelopes" else run.sleeves)
            for each in other_purchases(run, quantity)
        ),
    )
    return sum(
        (
            min(each.left_over, each.packs * each.pack_count) * (sheet_price(pack) or Fraction(0))
            for each, pack in bought
            if pack is not None
        ),
        Fraction(0),
    )


def paid_for(run: Run, purchases: Sequence[Purchase], parts: Mapping[str, Exact], prices: Prices) -> Exact:
    """The money that a run costs before a card is sold: packs whole, as they are bought, what is taken from the drawer
    by the sheet, and all else that it uses up."""
    packs = {**prices.packs, "envelopes": run.envelopes, "sleeves": run.sleeves}
    bought = sum((Fraction(each.outlay) for each in purchases), Fraction(0))
    drawer = sum(
        (min(each.on_hand, each.needed) * (sheet_price(pack) or Fraction(0))
         for each in purchases if (pack := packs.get(each.name)) is not None),
        Fraction(0),
    )  # fmt: skip
    others = sum((money for part, money in parts.items() if part not in PACKED), Fraction(0))
    return bought + drawer + others


def _purchase(name: str, needed: int, on_hand: int, pack: Pack, currency: str) -> Purchase:
    packs = max(0, -(-(needed - on_hand) // pack.count))
    outlay = rounded(packs * Fraction(pack.price or 0), currency)
    return Purchase(name, needed, on_hand, packs, pack.count, on_hand + packs * pack.count - needed, outlay)
