"""Count a run at the printer: sheets that came out, cartridges that were empty; and how far it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records.run import Counted, InkChange, KeptRun, Tally
from tackside.records.standing.withdrawal import Withdrawal
from tackside.run.plan.progress import Progress, batch_of, progress_of, tally
from tackside.workflow.runs.sent_jobs import SentJob, jobs_of

if TYPE_CHECKING:
    from tackside.run.ink.calibration import Calibration

LARGEST_CARTRIDGE_ML = 100_000
LONGEST_INK_NAME = 40


@dataclass(frozen=True)
class KeptCount:
    """Something counted: its ``number`` in the run, from 1, by which it is withdrawn; ``withdrawal``, where it was."""

    number: int
    subject: str
    tally: Tally
    withdrawal: Withdrawal | None


@dataclass(frozen=True)
class RunSoFar:
    """A kept run, each batch of it as far as it is, the jobs that were sent, and all that was counted, oldest first."""

    run: KeptRun
    batches: tuple[Progress, ...]
    jobs: tuple[SentJob, ...]
    counts: tuple[KeptCount, ...]

    @property
    def ordered(self) -> int:
        """Good sheets that were planned."""
        return sum(each.batch.good for each in self.batches)

    @property
    def printed(self) -> int:
        """Sheets that went through the printer: good, spoiled, set-up."""
        return sum(each.good + each.spoiled + each.setup for each in self.batches)

    @property
    def good(self) -> int:
        return sum(each.good for each in self.batches)

    @property
    def left(self) -> int:
        """Good sheets still to be printed."""
        return sum(each.left for each in self.batches)


def all_so_far(bench: Bench) -> tuple[RunSoFar, ...]:
    """All runs in the order they came, each as far as it is; without jobs and single counts, which a list needs not."""
    counted: dict[str, list[Tally]] = {}
    for each in bench.runs.tallies():
        counted.setdefault(each.run, []).append(each)
    return tuple(
        RunSoFar(run, progress_of(run, counted.get(run.id or "", ())), (), ()) for run in bench.runs.list()
    )


def run_so_far(bench: Bench, run: str) -> RunSoFar:
    """How far a run is. What was withdrawn of its counts is told, and not summed. Raises NotFound."""
    kept = bench.runs.get(run)
    counts = counts_of(bench, kept.id or run)
    standing = [each.tally for each in counts if each.withdrawal is None]
    return RunSoFar(kept, progress_of(kept, standing), jobs_of(bench, run=kept.id), counts)


def counts_of(bench: Bench, run: str) -> tuple[KeptCount, ...]:
    """All that was counted for a run, oldest first."""
    counted = bench.runs.counts(run)
    away = bench.withdrawals.of("count", [subject for subject, _ in counted])
    return tuple(
        KeptCount(number, subject, each, away.get(subject))
        for number, (subject, each) in enumerate(counted, start=1)
    )


def beyond_order(
    bench: Bench,
    run: str,
    batch: int,
    sheets: Mapping[Counted, int],
    *,
    card: str | None = None,
    after: int | None = None,
) -> Message | None:
    """What to ask before good sheets are counted that would be more than the batch, or the card of it, was ordered in.

    None where they are not, and where another count has come meanwhile (``after``, as ``count_sheets`` takes it): that
    is said first. Raises NotFound, and BadRequest for a batch that is not there.
    """
    kept = bench.runs.get(run)
    if after is not None and len(bench.runs.counts(kept.id or run)) != after:
        return None
    found, good = batch_of(kept, batch), sheets.get("good", 0)
    counted = [each for each in bench.runs.tallies(kept.id) if (each.batch, each.kind) == (batch, "good")]
    in_all = good + sum(each.sheets for each in counted)
    if good and in_all > found.good:
        return Message("count.beyond-batch", batch=batch, sheets=in_all, ordered=found.good)
    ordered = dict(found.cards).get(card or "")
    of_card = good + sum(each.sheets for each in counted if each.card == card)
    if good and ordered is not None and of_card > ordered:
        return Message("count.beyond-card", card=card, sheets=of_card, ordered=ordered)
    return None


def count_sheets(
    bench: Bench,
    run: str,
    batch: int,
    sheets: Mapping[Counted, int],
    *,
    why: str | None = None,
    card: str | None = None,
    after: int | None = None,
    beyond: bool = False,
) -> KeptRun:
    """Keep what was counted of a batch, all or nothing; later plans take spoilage and set-up from it.

    ``why`` is what spoiled the spoiled ones; ``after`` how many counts were known when this one was made, withdrawn
    ones among them; ``beyond``: also where these are more good sheets than were ordered (``beyond_order``). Raises
    NotFound, BadRequest, and Overtaken where another count has come meanwhile.
    """
    kept = bench.runs.get(run)
    if min(sheets.values(), default=0) < 0 or not any(sheets.values()):
        raise BadRequest("count.nothing")
    doubt = None if beyond else beyond_order(bench, run, batch, sheets, card=card, after=after)
    if doubt is not None:
        raise BadRequest.saying(doubt)
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
    from tackside.workflow.runs.plan import calibration_of  # slow to import: counting needs none of it

    name = bench.printers.get(printer).name
    if not 0 < ml <= LARGEST_CARTRIDGE_ML:
        raise BadRequest("count.no-such-cartridge", ml=ml)
    if any(not 0 < len(each.strip()) <= LONGEST_INK_NAME for each in inks):
        raise BadRequest("count.ink-without-a-name")
    now = datetime.now(UTC)
    bench.runs.change_ink(*(InkChange(printer=name, ink=each, ml=ml, made_at=now) for each in inks))
    return name, calibration_of(bench, name)
