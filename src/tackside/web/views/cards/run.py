"""A run as its page shows it: what it takes and costs, what it would cost otherwise, and how far each batch is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from tackside.messages.message import Message
from tackside.records.run import KeptRun
from tackside.run.money.costing import PARTS
from tackside.run.plan.progress import Progress
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.workflow.runs.count import KeptCount, RunSoFar

Said = str | Message
Pairs = tuple[tuple[Said, str], ...]
Table = tuple[tuple[Said, ...], ...]


@dataclass(frozen=True)
class PlanView:
    """A plan: ``answer`` and the pairs are label and figure; tables are rows of cells, money in the run's currency."""

    currency: str
    answer: str
    money: Pairs
    amounts: Pairs
    buying: Table
    parts: Pairs
    cards: Table
    batches: Table
    what_if: Table
    steps: Table
    assumptions: tuple[Message, ...]


@dataclass(frozen=True)
class RunView:
    """``seen`` is how many counts there were when it was looked at, so that another window's are not run over.

    ``counts``: all that was counted, the newest first.
    """

    run: KeptRun
    plan: PlanView
    batches: tuple[Progress, ...]
    counts: tuple[KeptCount, ...]
    seen: int
    done: bool


def run_view(so_far: RunSoFar, person: Person) -> RunView:
    """The plan as it was kept that day, and what was counted since."""
    found = so_far.batches
    return RunView(
        so_far.run,
        plan_view(so_far.run.plan, person),
        found,
        so_far.counts[::-1],
        len(so_far.counts),
        bool(found) and not any(each.left for each in found),
    )


def plan_view(plan: Mapping[str, Any], person: Person) -> PlanView:
    """The document of a plan, of this version or an earlier one, in the person's words."""
    say, currency = person.say, str(plan.get("currency", ""))
    low, high = (_number(each, person) for each in (plan.get("unit_cost_range") or ["", ""])[:2])
    price: Mapping[str, Any] = plan.get("price", {})

    def money(amount: object) -> str:
        return _money(amount, currency, person)

    return PlanView(
        currency=currency,
        answer=say("A card costs %(cost)s, between %(low)s and %(high)s.",
                   cost=money(plan.get("unit_cost", "")), low=low, high=high),
        money=(
            (say("Cost of a card"), f"{money(plan.get('unit_cost', ''))} ({low} – {high})"),
            (say("Price, wholesale"), money(price.get("wholesale", ""))),
            (say("Price, retail"), money(price.get("retail", ""))),
            (say("Cost of the run"), money(plan.get("total_cost", ""))),
            (say("To be paid now"), money(plan.get("outlay", ""))),
            *_paid_back(plan, person),
        ),
        amounts=_amounts(plan, person),
        buying=tuple(
            (
                str(each.get("name", "")), str(each.get("needed", "")), str(each.get("on_hand", "")),
                say("%(packs)s of %(count)s", packs=each.get("packs", ""), count=each.get("pack_count", "")),
                str(each.get("left_over", "")), money(each.get("outlay", "")),
            )
            for each in (*plan.get("stocks", ()), *plan.get("others", ()))
        ),
        parts=tuple((_part(name), money(amount)) for name, amount in plan.get("parts", {}).items() if _is_some(amount)),
        cards=tuple(
            (
                str(each["name"]), str(each["quantity"]), money(each["unit_cost"]), money(each["price"]["wholesale"]),
                money(each["price"]["retail"]),
            )
            for each in plan.get("cards", ())
        ),
        batches=tuple(
            (
                str(each["batch"]), ", ".join(card["name"] for card in each["cards"]), each["stock"], each["printer"],
                each["setting"], f"{each['good']} + {each['spoiled']} + {each['setup']}",
            )
            for each in plan.get("batches", ())
        ),
        what_if=tuple(
            (_said(each, "what"), money(each["unit_cost"]), _signed(str(each["more"]), person))
            for each in plan.get("what_if", ())
        ),
        steps=_steps(plan, person),
        assumptions=tuple(Message.of_data(each) for each in plan.get("assumptions", ())),
    )  # fmt: skip


_PAID = (
    ("wholesale", _("%(n)s cards at the wholesale price"), _("never at the wholesale price")),
    ("retail", _("%(n)s cards at the retail price"), _("never at the retail price")),
)


def _paid_back(plan: Mapping[str, Any], person: Person) -> Pairs:
    if "break_even" not in plan:
        return ()

    def ends(found: Mapping[str, int | None]) -> str:
        said = [
            person.say(never) if found.get(how) is None else person.say(text, n=found[how])
            for how, text, never in _PAID
        ]
        return person.lines(said)

    if "paid_back" not in plan:  # kept by an earlier version
        return ((person.say("Set-up is back after"), ends(plan["break_even"])),)
    paid = _money(plan["paid"], plan["currency"], person)
    return (
        (
            person.say("Break-even, for all that is paid for (%(paid)s, packs whole)", paid=paid),
            ends(plan["paid_back"]),
        ),
        (person.say("Set-up is back after"), ends(plan["break_even"])),
    )


def _amounts(plan: Mapping[str, Any], person: Person) -> Pairs:
    say, found = person.say, []
    if "quantity" in plan:
        found.append((say("Cards"), str(plan["quantity"])))
    if "sheets" in plan:
        found.append((say("Sheets, spoiled ones and set-up with them"), str(plan["sheets"])))
    if "packs" in plan:
        found.append((say("Packs of card"), str(plan["packs"])))
    if "ink_ml" in plan:
        low, high = plan.get("ink_range_ml", (plan["ink_ml"], plan["ink_ml"]))
        ink = say("%(ml)s ml, between %(low)s and %(high)s",
                  ml=person.figure(plan["ink_ml"]), low=person.figure(low), high=person.figure(high))  # fmt: skip
        found.append((say("Ink"), ink))
    if plan.get("labour_minutes"):
        found.append((say("Working time"), f"{person.fixed(plan['labour_minutes'] / 60, 1)} h"))
    if plan.get("time"):
        found.append((say("Done"), _when(plan["time"]["done"], person)))
        found.append((say("Places to dry"), str(plan["time"]["drying_places"])))
    return tuple(found)


def _steps(plan: Mapping[str, Any], person: Person) -> Table:
    steps = (plan.get("time") or {}).get("steps", ())
    return tuple(
        (
            _when(each["start"], person), _when(each["end"], person),
            person.say("all") if each["batch"] is None else person.say("Batch %(n)s", n=each["batch"]),
            _said(each, "what"),
        )
        for each in steps
    )  # fmt: skip


def _when(moment: str, person: Person) -> str:
    """A day and an hour to the minute, as the calendar of the run has them."""
    found = datetime.fromisoformat(moment)
    return f"{person.day(found)}, {found:%H:%M}"


def _is_some(amount: object) -> bool:
    return str(amount).strip("0.") != ""


def _signed(amount: str, person: Person) -> str:
    """With a true minus, and a plus where it is dearer."""
    told = _number(amount, person)
    return told if told.startswith("−") else f"+{told}"


def _money(amount: object, currency: str, person: Person) -> str:
    """An amount as a plan holds it, with its currency, as the person's language has it."""
    try:
        return person.wording.money(Decimal(str(amount)), currency)
    except InvalidOperation:
        return f"{amount} {currency}"


def _number(amount: object, person: Person) -> str:
    """An amount as a plan holds it, with the person's decimal sign."""
    try:
        return person.wording.number(Decimal(str(amount)))
    except InvalidOperation:
        return str(amount)


def _said(held: Mapping[str, Any], key: str) -> Message:
    """A message of a plan; an earlier version kept its words under ``key``, and no more."""
    return Message.of_data(held if "code" in held else str(held[key]))


def _part(name: str) -> Said:
    """What money goes on."""
    return Message(f"run.part-{name}") if name in PARTS else name
