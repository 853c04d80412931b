"""A run as its page shows it: what it takes and costs, and how far each batch is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.bench.records.run import KeptRun, Tally
from tackside.run.progress import Progress, progress_of
from tackside.web.person import Person


@dataclass(frozen=True)
class RunView:
    """``money`` and ``packs`` are label and figure; ``parts`` are what the cost is made of, in the run's currency."""

    run: KeptRun
    money: tuple[tuple[str, str], ...]
    packs: tuple[tuple[str, str], ...]
    parts: tuple[tuple[str, str], ...]
    assumptions: tuple[str, ...]
    batches: tuple[Progress, ...]


def run_view(run: KeptRun, tallies: tuple[Tally, ...], person: Person) -> RunView:
    """The plan as it was kept that day, and what was counted since."""
    plan, say = run.plan, person.say
    currency = str(plan.get("currency", ""))
    price: dict[str, Any] = plan.get("price", {})
    low, high = (plan.get("unit_cost_range") or ["", ""])[:2]
    money = [
        (say("Cost of a card"), f"{plan.get('unit_cost', '')} {currency} ({low} – {high})"),
        (say("Price, wholesale"), f"{price.get('wholesale', '')} {currency}"),
        (say("Price, retail"), f"{price.get('retail', '')} {currency}"),
        (say("Cost of the run"), f"{plan.get('total_cost', '')} {currency}"),
        (say("To be paid now"), f"{plan.get('outlay', '')} {currency}"),
    ]
    packs = [
        (
            str(each.get("name", "")),
            say(
                "%(packs)s packs of %(count)s, %(left)s left over",
                packs=each.get("packs", ""), count=each.get("pack_count", ""), left=each.get("left_over", ""),
            ),
        )
        for each in (*plan.get("stocks", ()), *plan.get("others", ()))
    ]  # fmt: skip
    parts = [(str(name), f"{amount} {currency}") for name, amount in plan.get("parts", {}).items()]
    return RunView(
        run=run,
        money=tuple(money),
        packs=tuple(packs),
        parts=tuple(parts),
        assumptions=tuple(str(each) for each in plan.get("assumptions", ())),
        batches=progress_of(run, tallies),
    )
