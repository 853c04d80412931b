"""Count a run at the printer: sheets that came out, cartridges that were empty; and how far it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.records.run import Counted, InkChange, KeptRun, PrintJob
from tackside.run.ink.calibration import Calibration
from tackside.run.plan.progress import Progress, progress_of, tally
from tackside.workflow.runs.plan import calibration_of

LARGEST_CARTRIDGE_ML = 100_000
LONGEST_INK_NAME = 40


@dataclass(frozen=True)
class RunSoFar:
    """A kept run, each batch of it as far as it is, and the jobs that were sent."""

    run: KeptRun
    batches: tuple[Progress, ...]
    jobs: tuple[PrintJob, ...]


def run_so_far(bench: Bench, run: str) -> RunSoFar:
    """How far a run is. Raises NotFound."""
    kept = bench.runs.get(run)
    return RunSoFar(kept, progress_of(kept, bench.runs.tallies(kept.id)), bench.runs.jobs(kept.id))


def count_sheets(
    bench: Bench,
    run: str,
    batch: int,
    sheets: Mapping[Counted, int],
    *,
    why: str | None = None,
    card: str | None = None,
    after: int | None = None,
) -> KeptRun:
    """Keep what was counted of a batch, all or nothing; later plans take spoilage and set-up from it.

    ``why`` is what spoiled the spoiled ones; ``after`` how many counts were known when this one was made. Raises
    NotFound, BadRequest, and Overtaken where another count has come meanwhile.
    """
    kept = bench.runs.get(run)
    if min(sheets.values(), default=0) < 0 or not any(sheets.values()):
        raise BadRequest("count.nothing")
    now = datetime.now(UTC)
    bench.runs.count(
        *(
            tally(kept, batch, kind, number, made_at=now, card=card, why=why if kind == "spoiled" else None)
            for kind, number in sheets.items()
            if number
        ),
        after=after,
    )
    return kept


def change_ink(bench: Bench, printer: str, inks: Sequence[str], ml: float) -> tuple[str, Calibration]:
    """Note cartridges of ``ml`` millilitres that took the place of empty ones; the printer, and what is known of its
    ink now. Raises NotFound, BadRequest."""
    name = bench.printers.get(printer).name
    if not 0 < ml <= LARGEST_CARTRIDGE_ML:
        raise BadRequest("count.no-such-cartridge", ml=ml)
    if any(not 0 < len(each.strip()) <= LONGEST_INK_NAME for each in inks):
        raise BadRequest("count.ink-without-a-name")
    now = datetime.now(UTC)
    bench.runs.change_ink(*(InkChange(printer=name, ink=each, ml=ml, made_at=now) for each in inks))
    return name, calibration_of(bench, name)
