"""What of a kept run is still to be sent: designs and copies, or the rows of a personalised card one by one."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.card.file.design import Card, load_card
from tackside.card.series.list_file import read_rows
from tackside.card.series.rows import card_variables, personalised
from tackside.errors import BadRequest
from tackside.files.atomic import sha256_of
from tackside.records.run import KeptBatch, KeptRun, PrintJob, Tally
from tackside.run.ipp.sending import Parcel
from tackside.run.plan.load_run import load_run
from tackside.run.plan.run_file import Run, RunCard


def run_of(kept: KeptRun) -> Run:
    """The run file of a kept run. Raises BadRequest where it has changed since, BadRecord, StorageTrouble."""
    if not kept.folder:
        raise BadRequest("run.kept-on-a-page", run=kept.id)
    path = f"{kept.folder}/{kept.file}"
    if sha256_of(path) != kept.file_sha256:
        raise BadRequest("run.file-changed", file=path, run=kept.id)
    return load_run(path)


def parcels_of(
    run: Run,
    batch: KeptBatch,
    tallies: Sequence[Tally],
    jobs: Sequence[PrintJob],
    *,
    card: str | None = None,
    sheets: int | None = None,
) -> tuple[Parcel, ...]:
    """The parcels of a batch, or of one card in it.

    ``sheets`` copies of each design, or the first so many rows of a list; None: all that is not yet counted as good,
    and of a list the rows whose job has not been completed. Raises BadRequest, and what reading the card files raises.
    """
    if sheets is not None and sheets <= 0:
        raise BadRequest("run.sheets-not-sent", sheets=sheets)
    known = [name for name, _ in batch.cards]
    if card is not None and card not in known:
        raise BadRequest("run.no-card-in-batch", batch=batch.number, card=card, known=known)
    found: list[Parcel] = []
    for name, planned in batch.cards:
        if card in (None, name):
            asked = next(each for each in run.cards if each.name == name)
            found += _parcels(run, asked, _left(batch, name, planned, tallies), jobs, sheets)
    return tuple(found)


def _parcels(
    run: Run, asked: RunCard, left: int, jobs: Sequence[PrintJob], sheets: int | None
) -> list[Parcel]:
    if asked.file is None:
        raise BadRequest("run.no-card-file", card=asked.name)
    design = load_card(run.folder / asked.file)
    if asked.recipients is None or not card_variables(design):
        copies = left if sheets is None else sheets
        return [Parcel(design, copies, asked.name)] if copies > 0 else []
    done = {job.document for job in jobs if job.state == "completed"}
    cards = _rows(run, asked.recipients, design)
    waiting = [Parcel(each, 1, asked.name, number) for number, each in enumerate(cards, start=1)]
    fresh = [each for each in waiting if each.document not in done]
    return fresh if sheets is None else fresh[:sheets]


def _rows(run: Run, file: str, design: Card) -> tuple[Card, ...]:
    return personalised(design, read_rows(run.folder / file))


def _left(batch: KeptBatch, name: str, planned: int, tallies: Sequence[Tally]) -> int:
    """Good sheets still missing; what was counted for no card in particular is the batch's only card's."""
    alone = len(batch.cards) == 1
    counted = sum(
        tally.sheets
        for tally in tallies
        if tally.batch == batch.number
        and tally.kind == "good"
        and (tally.card == name or (tally.card is None and alone))
    )
    return max(0, planned - counted)
