"""A reading judged again, as plain data in and out: a piece of work for any process, here or elsewhere."""

from __future__ import annotations

from typing import Any

from tackside.records import Printer, Reading, Stock, Trial
from tackside.verdict.judge import judge


def judge_again(given: dict[str, Any]) -> dict[str, Any]:
    """The verdict on ``reading`` of ``trial`` (with ``stock`` and ``printer``), dated by it: same in, same out.

    ``reference`` and ``reference_trial`` are what it was judged against, both None where it was not.
    """
    reading = Reading.model_validate(given["reading"])
    reference, reference_trial = given.get("reference"), given.get("reference_trial")
    verdict = judge(
        reading,
        trial=Trial.model_validate(given["trial"]),
        stock=Stock.model_validate(given["stock"]),
        printer=Printer.model_validate(given["printer"]),
        reference=Reading.model_validate(reference) if reference else None,
        reference_trial=Trial.model_validate(reference_trial) if reference_trial else None,
        made_at=reading.made_at,
    )
    return verdict.model_dump(mode="json")
