"""Every figure of a plan that the user did not give, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.run.plan.batches import Batch
from tackside.run.plan.run_file import Run
from tackside.run.plan.waste import Spoilage


def assumptions_of(run: Run, batches: Sequence[Batch], spoilages: Sequence[Spoilage]) -> list[str]:
    """What the plan assumes, each once."""
    said = [
        f"{batch.stock} on {batch.printer}: {spoilage.basis}."
        for batch, spoilage in zip(batches, spoilages, strict=True)
    ]
    if run.labour is None:
        said.append("Working time is not counted: give [labour] with a rate to count it.")
    elif not {"setup_minutes", "minutes_per_sheet", "minutes_per_card"} <= run.labour.model_fields_set:
        work = run.labour
        said.append(
            f"Working time: {work.setup_minutes:g} min to set up a batch, {work.minutes_per_sheet:g} min a sheet, "
            f"{work.minutes_per_card:g} min to finish a card; where the run file is silent, these are assumptions."
        )
    missing = sorted({batch.printer for batch in batches} - set(run.equipment))
    said += [f'The wear of {name} is not counted: give [equipment."{name}"] to count it.' for name in missing]
    if "profit" not in run.pricing.model_fields_set:
        said.append(f"Profit of {run.pricing.profit:.0%} on cost is an assumption; set pricing.profit.")
    if "retail_factor" not in run.pricing.model_fields_set:
        said.append("Retail is twice wholesale, the trade's rule; set pricing.retail_factor.")
    if run.postage:
        said.append(
            f"Postage is what the run file says, {run.postage.service}, as of {run.postage.dated:%Y-%m-%d}."
        )
    return list(dict.fromkeys(said))
