"""Hand a stock on with all that is known of it, and take in what somebody else found out."""

from __future__ import annotations

from pathlib import Path

from tackside.bench.store import Bench
from tackside.bench.transfer import exchange, exchange_import
from tackside.bench.transfer.exchange import Exchange
from tackside.bench.transfer.exchange_import import Keep, Taken
from tackside.messages.message import Message
from tackside.workflow.pictures.work_out import work_out_trials
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.standing.withdraw import settle


def hand_on(bench: Bench, stock: str, out: Path, progress: Progress = unheard) -> Exchange:
    """A stock's record with its trials, readings, verdicts and scans, written into one archive.

    Raises NotFound, StorageTrouble.
    """
    progress(0.1, Message("progress.gathering-stock"))
    made = exchange.export_stock(bench, stock, out)
    progress(1.0, Message("progress.keeping-archive"))
    return made


def take_in(bench: Bench, archive: Path, keep: Keep | None = None, progress: Progress = unheard) -> Taken:
    """What an archive holds joins what is there, and its cards are worked out for choosing; nothing there changes.

    ``keep`` says whose record holds where both edited the stock. What was withdrawn there is withdrawn here, and what
    rested on it is judged again; whoever spoke last of it holds. Raises BadRecord, BadRequest, StorageTrouble.
    """
    progress(0.1, Message("progress.checking-archive"))
    taken = exchange_import.import_stock(bench, archive, keep)
    for trial in taken.changed:
        settle(bench, trial)
    progress(0.9, Message("progress.working-out-cards"))
    # All of the stock: a trial that was there may have got a newer reading.
    work_out_trials(bench, [each.id for each in bench.trials.list(stock=taken.stock)])
    progress(1.0, Message("progress.working-out-cards"))
    return taken
