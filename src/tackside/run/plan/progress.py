"""How far a run is: what was counted at the printer against what was planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from tackside.errors import BadRequest
from tackside.records.run import Counted, KeptBatch, KeptRun, Tally


@dataclass(frozen=True)
class Progress:
    """One batch: good, spoiled and set-up sheets so far, how many good ones are left, and what spoiled the others, in
    the user's words; ``unexplained`` are those spoiled sheets of which nothing was said."""

    batch: KeptBatch
    good: int
    spoiled: int
    setup: int
    reasons: dict[str, int]
    unexplained: int

    @property
    def left(self) -> int:
        return max(0, self.batch.good - self.good)


def progress_of(run: KeptRun, tallies: Sequence[Tally]) -> tuple[Progress, ...]:
    """The progress of each batch, in the order of printing."""
    return tuple(
        _of(batch, [tally for tally in tallies if tally.batch == batch.number]) for batch in run.batches
    )


def tally(
    run: KeptRun,
    batch: int,
    kind: Counted,
    sheets: int,
    *,
    made_at: datetime,
    why: str | None = None,
    card: str | None = None,
) -> Tally:
    """Something counted, with the stock, printer and ink of its batch. Raises BadRequest."""
    found = batch_of(run, batch)
    if sheets <= 0:
        raise BadRequest("run.sheets-not-counted", sheets=sheets)
    names = [name for name, _ in found.cards]
    if card is not None and card not in names:
        raise BadRequest("run.no-card-in-batch", batch=batch, card=card, known=names)
    tones = _tones(found, card)
    return Tally(
        run=run.id or "",
        batch=batch,
        stock=found.stock,
        printer=found.printer,
        kind=kind,
        sheets=sheets,
        card=card,
        why=why,
        tones_m2=None if tones is None else tones * sheets,
        made_at=made_at,
    )


def batch_of(run: KeptRun, number: int) -> KeptBatch:
    """A batch by its number. Raises BadRequest."""
    for batch in run.batches:
        if batch.number == number:
            return batch
    raise BadRequest("run.no-batch", run=run.id, batch=number, last=len(run.batches))


def _of(batch: KeptBatch, tallies: Sequence[Tally]) -> Progress:
    counted = {
        kind: sum(t.sheets for t in tallies if t.kind == kind) for kind in ("good", "spoiled", "set-up")
    }
    reasons: dict[str, int] = {}
    for each in tallies:
        if each.kind == "spoiled" and each.why:
            reasons[each.why] = reasons.get(each.why, 0) + each.sheets
    unexplained = counted["spoiled"] - sum(reasons.values())
    return Progress(batch, counted["good"], counted["spoiled"], counted["set-up"], reasons, unexplained)


def _tones(batch: KeptBatch, card: str | None) -> float | None:
    """Full tone of one sheet, m²: the card's, or the batch's mean where no card is named; None where unknown."""
    known = dict(zip((name for name, _ in batch.cards), batch.tones_m2, strict=True))
    if card is not None:
        return known[card]
    if any(tones is None for tones in batch.tones_m2):
        return None
    good = sum(sheets for _, sheets in batch.cards)
    return sum((known[name] or 0.0) * sheets for name, sheets in batch.cards) / good
