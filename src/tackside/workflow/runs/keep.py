"""Plan a run from its file, and keep it on the bench, so that its sheets can be counted and sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.records.run import KeptRun
from tackside.run.plan.document import document, kept_batches
from tackside.run.plan.load_run import load_run
from tackside.run.plan.plan import RunPlan
from tackside.workflow.runs.plan import plan


@dataclass(frozen=True)
class KeptPlan:
    """A run as the bench keeps it, with the plan that it was kept by."""

    run: KeptRun
    plan: RunPlan


def plan_file(bench: Bench, file: Path) -> RunPlan:
    """The plan of a run file; nothing is kept. Raises BadRecord, NotFound, DoesNotFit, BadImage."""
    return plan(bench, load_run(file))


def keep_file(bench: Bench, file: Path) -> KeptPlan:
    """Plan a run file and keep both. Raises BadRecord, NotFound, DoesNotFit, BadImage, StorageTrouble."""
    planned = plan_file(bench, file)
    source = bench.keep_file(file)
    run = KeptRun(
        name=planned.run.name,
        folder=str(file.resolve().parent),
        file=file.name,
        file_sha256=source,
        made_at=datetime.now(UTC),
        batches=kept_batches(planned),
        plan=document(planned),
    )
    return KeptPlan(bench.runs.add(run, source), planned)
