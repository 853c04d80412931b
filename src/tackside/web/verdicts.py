"""Judging a reading that the bench holds, and keeping what came of it."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.records import Reading, Trial, Verdict
from tackside.verdict.judge import judge


def keep_verdict(bench: Bench, trial: Trial, reading: Reading, reference: Trial | None = None) -> Verdict:
    """The verdict on a reading, beside another trial's newest reading where one is given. Raises NotFound."""
    verdict = judge(
        reading,
        trial=trial,
        stock=bench.stocks.get(trial.stock, trial.stock_revision),
        printer=bench.printers.get(trial.printer, trial.printer_revision),
        reference=None if reference is None else bench.readings.latest(reference.id),
        reference_trial=reference,
    )
    return bench.verdicts.add(verdict.model_copy(update={"reading": reading.id}))
