"""The plan of a run: sheets, packs, ink, money, price and time, from lines whose facts are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from tackside.messages.message import Message
from tackside.records import Pack
from tackside.records.money import Exact, rounded
from tackside.run.money.costing import (
    HIGH,
    LIKELY,
    LOW,
    PARTS,
    BatchSheets,
    Cost,
    Prices,
    cost_of,
    ink_ml,
    line_ink,
    prices_for,
    sheets_of,
    wear,
)
from tackside.run.money.pricing import Price, break_even, paid_back, price_of
from tackside.run.plan.assumptions import assumptions_of
from tackside.run.plan.batches import Batch, RunLine, batches_of
from tackside.run.plan.calendar import Timetable, timetable
from tackside.run.plan.posting import Posting
from tackside.run.plan.purchases import Purchase, left_over, other_purchases, paid_for, stock_purchases
from tackside.run.plan.run_file import Run
from tackside.run.plan.waste import Log, Spoilage, spoilage_of


@dataclass(frozen=True)
class CardCost:
    """One design: its share of everything, in money of one card."""

    name: str
    quantity: int
    unit_cost: Decimal
    price: Price


@dataclass(frozen=True)
class WhatIf:
    """The same run when one thing is otherwise: the cost of a card then, and how much more that is."""

    what: Message
    unit_cost: Decimal
    more: Decimal


@dataclass(frozen=True)
class RunPlan:
    """All that is known of a run before the first sheet. Money is rounded once, at the end, to the smallest unit.

    ``break_even`` is how many cards bring back what is fixed, set-up and the like; ``paid_back`` how many bring back
    all that is ``paid``, packs whole as they are bought. ``sheet_costs`` are the money in one printed sheet of each
    design. ``unit_range`` is the cost of a card at its lowest and highest: spoilage, set-up and ink low or high, and
    for the highest what is left of the packs counted too. ``assumptions``: every figure that the user did not give.
    """

    run: Run
    batches: tuple[Batch, ...]
    sheets: tuple[BatchSheets, ...]
    spoilages: tuple[Spoilage, ...]
    ink_ml: tuple[float, float, float]
    stocks: tuple[Purchase, ...]
    others: tuple[Purchase, ...]
    parts: dict[str, Decimal]
    total: Decimal
    outlay: Decimal
    unit_cost: Decimal
    unit_range: tuple[Decimal, Decimal]
    price: Price
    break_even: dict[str, int | None]
    paid: Decimal
    paid_back: dict[str, int | None]
    cards: tuple[CardCost, ...]
    sheet_costs: dict[str, Decimal]
    what_if: tuple[WhatIf, ...]
    labour_minutes: float
    time: Timetable | None
    post: tuple[Posting, ...]
    assumptions: tuple[Message, ...]

    @property
    def quantity(self) -> int:
        return sum(batch.cards for batch in self.batches)

    @property
    def all_sheets(self) -> int:
        return sum(sheets.total for sheets in self.sheets)

    @property
    def all_packs(self) -> int:
        return sum(purchase.packs for purchase in self.stocks)


def plan_run(
    run: Run,
    lines: Sequence[RunLine],
    packs: Mapping[str, Pack | None],
    logs: Mapping[tuple[str, str], Log],
    assumptions: Sequence[Message] = (),
    post: Sequence[Posting] = (),
) -> RunPlan:
    """Plan a run. ``packs`` holds the pack of every stock of the lines and of ``run.instead``; ``logs`` goes by (stock,
    printer).

    Raises BadRecord where a price is missing or in another currency.
    """
    batches = batches_of(lines)
    prices = prices_for(run, packs, {line.printer for line in lines})
    spoilages = tuple(
        spoilage_of(logs.get((batch.stock, batch.printer), Log()), run.waste) for batch in batches
    )
    sheets = tuple(map(sheets_of, batches, spoilages))
    low, likely, high = (cost_of(run, batches, spoilages, prices, case) for case in (LOW, LIKELY, HIGH))
    quantity = sum(batch.cards for batch in batches)
    stocks = stock_purchases(run, batches, spoilages, prices, LIKELY)
    others = other_purchases(run, quantity)
    lost = left_over(run, batches, spoilages, prices)
    paid = paid_for(run, (*stocks, *others), likely.parts, prices)
    unit = likely.total / quantity
    price = price_of(unit, run.pricing, run.currency)
    return RunPlan(
        run=run,
        batches=batches,
        sheets=sheets,
        spoilages=spoilages,
        ink_ml=_ink(batches, spoilages),
        stocks=stocks,
        others=others,
        parts={part: rounded(likely.parts[part], run.currency) for part in PARTS},
        total=rounded(likely.total, run.currency),
        outlay=sum((each.outlay for each in (*stocks, *others)), Decimal(0)),
        unit_cost=rounded(unit, run.currency),
        unit_range=(
            rounded(low.total / quantity, run.currency),
            rounded((high.total + lost) / quantity, run.currency),
        ),
        price=price,
        break_even={
            "wholesale": break_even(likely, quantity, price.wholesale),
            "retail": break_even(likely, quantity, price.retail, run.pricing.tax),
        },
        paid=rounded(paid, run.currency),
        paid_back={
            "wholesale": paid_back(paid, price.wholesale),
            "retail": paid_back(paid, price.retail, run.pricing.tax),
        },
        cards=_card_costs(run, batches, sheets, likely, prices),
        sheet_costs=_sheet_costs(run, lines, prices),
        what_if=_what_if(run, lines, packs, spoilages, likely, prices),
        labour_minutes=_minutes(run, batches, sheets),
        time=timetable(batches, sheets, run.calendar, run.labour) if run.calendar else None,
        post=tuple(post),
        assumptions=(*assumptions_of(run, batches, spoilages), *assumptions),
    )


def _ink(batches: Sequence[Batch], spoilages: Sequence[Spoilage]) -> tuple[float, float, float]:
    low, likely, high = (
        float(
            sum(
                (
                    ink_ml(batch, sheets_of(batch, spoiled, case), case)
                    for batch, spoiled in zip(batches, spoilages, strict=True)
                ),
                Fraction(0),
            )
        )
        for case in (LOW, LIKELY, HIGH)
    )
    return round(low, 2), round(likely, 2), round(high, 2)


def _card_costs(
    run: Run, batches: Sequence[Batch], sheets: Sequence[BatchSheets], likely: Cost, prices: Prices
) -> tuple[CardCost, ...]:
    """Each design takes its own sheets, ink and passes, and of all else the same as every other card."""
    own: list[tuple[RunLine, Exact]] = []
    for batch, count in zip(batches, sheets, strict=True):
        grown = Fraction(count.total, count.good)
        for line in batch.lines:
            sheet = prices.sheet(line.stock) + line_ink(line) * prices.ink(line.printer)
            own.append((line, line.good_sheets * grown * sheet))
    shared = (likely.total - sum((money for _, money in own), Fraction(0))) / sum(
        line.quantity for line, _ in own
    )
    return tuple(
        CardCost(
            line.card.name,
            line.quantity,
            rounded(money / line.quantity + shared, run.currency),
            price_of(money / line.quantity + shared, run.pricing, run.currency),
        )
        for line, money in own
    )


def _sheet_costs(run: Run, lines: Sequence[RunLine], prices: Prices) -> dict[str, Decimal]:
    """What one printed sheet of each design uses up: card, ink and wear."""
    return {
        line.card.name: rounded(
            prices.sheet(line.stock) + line_ink(line) * prices.ink(line.printer) + wear(run, line.printer),
            run.currency,
        )
        for line in lines
    }


def _what_if(
    run: Run,
    lines: Sequence[RunLine],
    packs: Mapping[str, Pack | None],
    spoilages: Sequence[Spoilage],
    likely: Cost,
    prices: Prices,
) -> tuple[WhatIf, ...]:
    quantity = sum(line.quantity for line in lines)
    unit = likely.total / quantity
    found = [
        (
            Message("run.if-dearer", part=Message(f"run.part-{part}")),
            unit + likely.parts[part] / quantity / 10,
        )
        for part in PARTS
        if likely.parts[part]
    ]
    for stock in run.instead:
        changed = batches_of([replace(line, stock=stock) for line in lines])
        same = tuple(spoilages[0] for _ in changed)
        found.append(
            (Message("run.if-on-stock", stock=stock), cost_of(run, changed, same, prices).total / quantity)
        )
    return tuple(
        WhatIf(what, rounded(cost, run.currency), rounded(cost - unit, run.currency)) for what, cost in found
    )


def _minutes(run: Run, batches: Sequence[Batch], sheets: Sequence[BatchSheets]) -> float:
    if run.labour is None:
        return 0.0
    work = run.labour
    passes = sum(count.total * batch.passes_a_sheet for batch, count in zip(batches, sheets, strict=True))
    cards = sum(batch.cards for batch in batches)
    return (
        len(batches) * work.setup_minutes
        + float(passes) * work.minutes_per_sheet
        + cards * work.minutes_per_card
    )
