"""A plan as plain data, for scripts: money as decimals in quotes, so that it stays exact."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import WITH_WORDS, Message
from tackside.messages.wording import TERMINAL, documents
from tackside.records.run import KeptBatch
from tackside.run.money.costing import BatchSheets
from tackside.run.plan.batches import Batch, RunLine
from tackside.run.plan.plan import RunPlan
from tackside.run.plan.posting import Posting
from tackside.run.plan.purchases import Purchase


def document(plan: RunPlan) -> dict[str, Any]:
    """The keys that scripts rely on, and all else that the plan holds."""
    low, likely, high = plan.ink_ml
    return {
        "name": plan.run.name,
        "currency": plan.run.currency,
        "quantity": plan.quantity,
        "packs": plan.all_packs,
        "sheets": plan.all_sheets,
        "ink_ml": likely,
        "ink_range_ml": [low, high],
        "unit_cost": str(plan.unit_cost),
        "unit_cost_range": [str(amount) for amount in plan.unit_range],
        "price": {"wholesale": str(plan.price.wholesale), "retail": str(plan.price.retail)},
        "total_cost": str(plan.total),
        "outlay": str(plan.outlay),
        "parts": {part: str(amount) for part, amount in plan.parts.items()},
        "break_even": plan.break_even,
        "paid": str(plan.paid),
        "paid_back": plan.paid_back,
        "stocks": [_purchase(each) for each in plan.stocks],
        "others": [_purchase(each) for each in plan.others],
        "cards": [
            {
                "name": card.name,
                "quantity": card.quantity,
                "unit_cost": str(card.unit_cost),
                "price": {"wholesale": str(card.price.wholesale), "retail": str(card.price.retail)},
            }
            for card in plan.cards
        ],
        "batches": [_batch(plan, *pair) for pair in zip(plan.batches, plan.sheets, strict=True)],
        "what_if": [
            {**_worded("what", each.what), "unit_cost": str(each.unit_cost), "more": str(each.more)}
            for each in plan.what_if
        ],
        "labour_minutes": round(plan.labour_minutes, 1),
        "time": _time(plan),
        "post": [_post(each) for each in plan.post],
        "assumptions": documents(plan.assumptions),
    }


def kept_batches(plan: RunPlan) -> tuple[KeptBatch, ...]:
    """The batches as a bench keeps them."""
    return tuple(
        KeptBatch(
            number=batch.number,
            printer=batch.printer,
            stock=batch.stock,
            setting=batch.setting,
            good=sheets.good,
            spoiled=sheets.spoiled,
            setup=sheets.setup,
            cards=tuple((line.card.name, line.good_sheets) for line in batch.lines),
            tones_m2=tuple(line.tones_m2 for line in batch.lines),
        )
        for batch, sheets in zip(plan.batches, plan.sheets, strict=True)
    )


def _worded(key: str, said: Message) -> dict[str, Any]:
    """A message whose English stands under a key of its own."""
    return {key: TERMINAL.text(said), **said.as_data()}


def _purchase(bought: Purchase) -> dict[str, Any]:
    return {
        "name": bought.name,
        "needed": bought.needed,
        "on_hand": bought.on_hand,
        "packs": bought.packs,
        "pack_count": bought.pack_count,
        "left_over": bought.left_over,
        "outlay": str(bought.outlay),
    }


def _batch(plan: RunPlan, batch: Batch, sheets: BatchSheets) -> dict[str, Any]:
    return {
        "batch": batch.number,
        "printer": batch.printer,
        "stock": batch.stock,
        "setting": batch.setting,
        "good": sheets.good,
        "spoiled": sheets.spoiled,
        "setup": sheets.setup,
        "sheets": sheets.total,
        "cards": [_line(line, plan) for line in batch.lines],
    }


def _line(line: RunLine, plan: RunPlan) -> dict[str, Any]:
    return {
        "name": line.card.name,
        "quantity": line.quantity,
        "good_sheets": line.good_sheets,
        "faces": line.faces,
        "ink_ml": float(line.ink_ml),
        "sheet_cost": str(plan.sheet_costs[line.card.name]),
    }


def _post(posting: Posting) -> dict[str, Any]:
    return {
        "stock": posting.stock,
        "mailed": posting.mailed.model_dump(mode="json", context=WITH_WORDS) if posting.mailed else None,
        "services": [each.model_dump(mode="json", context=WITH_WORDS) for each in posting.services],
    }


def _time(plan: RunPlan) -> dict[str, Any] | None:
    if plan.time is None:
        return None
    return {
        "done": plan.time.done.isoformat(timespec="minutes"),
        "drying_places": plan.time.drying_places,
        "steps": [
            {
                **_worded("what", step.what),
                "batch": step.batch,
                "start": step.start.isoformat(timespec="minutes"),
                "end": step.end.isoformat(timespec="minutes"),
            }
            for step in plan.time.steps
        ],
    }
