"""How a run's plan and its progress look on the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rich.console import RenderableType
from rich.text import Text

from tackside.cli.views import facts
from tackside.records.money import said
from tackside.records.run import KeptRun

if TYPE_CHECKING:  # slow to import, and a list of runs plans nothing
    from tackside.run.plan.plan import RunPlan
    from tackside.run.plan.posting import Posting
    from tackside.run.plan.progress import Progress
    from tackside.run.plan.purchases import Purchase
    from tackside.workflow.runs.count import KeptCount, RunSoFar
    from tackside.workflow.runs.sent_jobs import SentJob


def plan_page(plan: RunPlan) -> RenderableType:
    """The answer first: what a card costs and what to ask for it; then what to buy, print and assume."""
    currency = plan.run.currency
    low, high = plan.unit_range
    rows: list[tuple[str, RenderableType | None]] = [
        ("A card costs", Text(f"{said(plan.unit_cost, currency)}, between {low} and {high}", style="bold")),
        ("Price, wholesale", said(plan.price.wholesale, currency)),
        ("Price, retail", said(plan.price.retail, currency)),
        ("Break-even", f"{_ends(plan.paid_back)}, for all that is paid for: {_paid(plan)}"),
        ("Set-up is back", f"{_ends(plan.break_even)}; what each card itself takes not counted"),
        ("Cards", f"{plan.quantity:,} on {plan.all_sheets:,} sheets"),
        ("Ink", f"{plan.ink_ml[1]:g} ml, between {plan.ink_ml[0]:g} and {plan.ink_ml[2]:g}"),
        ("All in all", f"{said(plan.total, currency)} used up; {said(plan.outlay, currency)} to lay out"),
        ("Working time", f"{plan.labour_minutes / 60:.1f} h" if plan.labour_minutes else "not counted"),
    ]
    rows += [(f"{each.stock} goes as", _goes_as(each)) for each in plan.post]
    if plan.time:
        rows.append(
            ("Done", f"{plan.time.done:%A %d %B %Y, %H:%M}, drying places: {plan.time.drying_places}")
        )
    parts: list[RenderableType] = [facts.facts(rows)]
    parts += [_buying((*plan.stocks, *plan.others), currency), _batches(plan), _parts(plan)]
    if len(plan.cards) > 1:
        parts.append(_cards(plan))
    parts.append(_what_if(plan))
    if plan.time:
        parts.append(_steps(plan))
    parts += ["", facts.sentences(plan.assumptions, "·", "dim")]
    return facts.page(plan.run.name, *parts)


def runs_page(runs: Sequence[RunSoFar]) -> RenderableType:
    """All runs, each with how far it is."""
    rows = [
        (
            each.run.id or "",
            each.run.name,
            facts.day(each.run.made_at),
            str(each.run.plan.get("quantity", "")),
            str(each.printed),
            f"{each.good} of {each.ordered}",
            str(each.left) if each.left else "done",
        )
        for each in runs
    ]
    headings = ("run", "name", "kept", "cards", "sheets printed", "good", "left")
    return facts.listing(headings, rows)


def progress_page(
    run: KeptRun,
    progress: Sequence[Progress],
    counts: Sequence[KeptCount] = (),
    jobs: Sequence[SentJob] = (),
) -> RenderableType:
    """What is printed, spoiled and left, batch by batch; the jobs that were sent; then each count, with what was
    withdrawn."""
    rows = [
        (
            str(each.batch.number),
            ", ".join(name for name, _ in each.batch.cards),
            f"{each.batch.stock} on {each.batch.printer}, {each.batch.setting}",
            f"{each.good} of {each.batch.good}",
            str(each.spoiled + each.setup),
            str(each.left),
        )
        for each in progress
    ]
    parts: list[RenderableType] = [
        facts.listing(("batch", "cards", "on", "printed", "spoiled or set-up", "left"), rows)
    ]
    reasons = [
        f"{sheets} in batch {each.batch.number}: {why}."
        for each in progress
        for why, sheets in (*each.reasons.items(), ("no reason given", each.unexplained))
        if sheets
    ]
    if reasons:
        parts += ["Spoiled:", facts.sentences(reasons, "·", "dim")]
    if jobs:
        parts += [
            facts.listing(
                ("job", "batch", "what", "sheets", "sent to", "is"),
                [
                    (
                        str(each.number),
                        str(each.job.batch),
                        each.job.document,
                        str(each.job.copies),
                        each.job.printer,
                        each.job.state,
                    )
                    for each in jobs
                ],
            )
        ]
        to_do = [f"Job {each.number}: {_job_told(each)}" for each in jobs if each.to_do is not None]
        parts += [facts.sentences(to_do, "!", "bold yellow")] if to_do else []
    if counts:
        headings = ("count", "batch", "card", "sheets", "counted", "")
        parts += [facts.listing(headings, [_count(each) for each in counts])]
    return facts.page(f"{run.name} ({run.id})", *parts)


def _job_told(each: SentJob) -> str:
    why = f"{each.job.trouble}. " if each.job.trouble else ""
    return f"{why}{each.to_do}"


def _count(each: KeptCount) -> tuple[str, ...]:
    found, away = each.tally, each.withdrawal
    told = "" if away is None else f"withdrawn{f': {away.why}' if away.why else ''}"
    sheets = f"{found.sheets} {found.kind}{f', {found.why}' if found.why else ''}"
    return str(each.number), str(found.batch), found.card or "–", sheets, facts.day(found.made_at), told


def _ends(counts: Mapping[str, int | None]) -> str:
    """How many cards bring the money back, at either price."""
    ends = [
        (f"{count:,} cards {how}" if count is not None else f"never {how}")
        for how, count in (("by wholesale", counts["wholesale"]), ("by retail", counts["retail"]))
    ]
    return ", ".join(ends)


def _paid(plan: RunPlan) -> str:
    """The money to get back, and whether the run can bring it."""
    paid = f"{said(plan.paid, plan.run.currency)}, packs whole"
    counts = [each for each in plan.paid_back.values() if each is not None]
    short = counts and min(counts) > plan.quantity
    return f"{paid}; more cards than this run has" if short else paid


def _goes_as(posting: Posting) -> str:
    if posting.mailed is None:
        return "no common envelope takes it"
    smallest: dict[str, str] = {}
    for each in posting.services:
        if each.goes:
            smallest.setdefault(each.country, each.service)
    goes = [f"{service} ({country})" for country, service in smallest.items()]
    weight = f"{posting.mailed.mass_g:g} g, " if posting.mailed.mass_g is not None else ""
    return f"{weight}{', '.join(goes) or 'none of the letters whose limits are known'}"


def _buying(purchases: Sequence[Purchase], currency: str) -> RenderableType:
    rows = [
        (
            each.name,
            f"{each.needed:,}",
            f"{each.on_hand:,}" if each.on_hand else "–",
            f"{each.packs:,} of {each.pack_count:,}",
            f"{each.left_over:,}",
            said(each.outlay, currency),
        )
        for each in purchases
    ]
    return facts.listing(("to buy", "needed", "in the drawer", "packs", "left over", "for"), rows)


def _batches(plan: RunPlan) -> RenderableType:
    rows = [
        (
            str(batch.number),
            ", ".join(line.card.name for line in batch.lines),
            f"{batch.stock} on {batch.printer}",
            batch.setting,
            f"{sheets.good} + {sheets.spoiled} + {sheets.setup}",
        )
        for batch, sheets in zip(plan.batches, plan.sheets, strict=True)
    ]
    return facts.listing(("batch", "cards", "on", "setting", "good + spoiled + set-up"), rows)


def _parts(plan: RunPlan) -> RenderableType:
    rows = [(part, said(amount, plan.run.currency)) for part, amount in plan.parts.items() if amount]
    return facts.listing(("what it goes on", "in all"), rows)


def _cards(plan: RunPlan) -> RenderableType:
    currency = plan.run.currency
    rows = [
        (
            card.name,
            f"{card.quantity:,}",
            said(card.unit_cost, currency),
            said(card.price.wholesale, currency),
            said(card.price.retail, currency),
        )
        for card in plan.cards
    ]
    return facts.listing(("card", "how many", "costs", "wholesale", "retail"), rows)


def _what_if(plan: RunPlan) -> RenderableType:
    currency = plan.run.currency
    rows = [(str(each.what), said(each.unit_cost, currency), f"{each.more:+}") for each in plan.what_if]
    return facts.listing(("what if", "a card costs", "more"), rows)


def _steps(plan: RunPlan) -> RenderableType:
    assert plan.time is not None
    rows = [
        (
            f"{step.start:%a %d %b %H:%M}",
            f"{step.end:%a %d %b %H:%M}",
            "all" if step.batch is None else f"batch {step.batch}",
            str(step.what),
        )
        for step in plan.time.steps
    ]
    return facts.listing(("from", "to", "which", "what"), rows)
