"""Every figure of a plan that the user did not give."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.messages.message import Message
from tackside.run.plan.batches import Batch
from tackside.run.plan.run_file import Run
from tackside.run.plan.waste import Spoilage


def assumptions_of(run: Run, batches: Sequence[Batch], spoilages: Sequence[Spoilage]) -> list[Message]:
    """What the plan assumes, each once."""
    found = [
        Message(
            "run.waste",
            stock=batch.stock,
            printer=batch.printer,
            spoilage=spoilage.share_basis,
            setup=spoilage.setup_basis,
        )
        for batch, spoilage in zip(batches, spoilages, strict=True)
    ]
    work = run.labour
    if work is None:
        found.append(Message("run.labour-not-counted"))
    elif not {"setup_minutes", "minutes_per_sheet", "minutes_per_card"} <= work.model_fields_set:
        found.append(
            Message(
                "run.labour-assumed",
                setup=work.setup_minutes,
                sheet=work.minutes_per_sheet,
                card=work.minutes_per_card,
            )
        )
    unworn = sorted({batch.printer for batch in batches} - set(run.equipment))
    found += (Message("run.wear-not-counted", printer=name) for name in unworn)
    if "profit" not in run.pricing.model_fields_set:
        found.append(Message("run.profit-assumed", profit=run.pricing.profit))
    if "retail_factor" not in run.pricing.model_fields_set:
        found.append(Message("run.retail-assumed"))
    if run.postage:
        day = f"{run.postage.dated:%Y-%m-%d}"
        found.append(Message("run.postage-given", service=run.postage.service, dated=day))
    return list(dict.fromkeys(found))
