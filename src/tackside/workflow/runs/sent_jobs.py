"""Jobs at printers: how each stands by what its printer says now, what to do about it, and cancelling it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tackside.bench.store import Bench
from tackside.errors import BadRequest, PrinterTrouble
from tackside.messages.message import Message
from tackside.records.run import PrintJob
from tackside.run.ipp.client import Connection, NoAnswer
from tackside.run.ipp.job import ENDED, JobForgotten, JobNews, cancel, follow, look, with_news
from tackside.run.ipp.own_network import printer_nearby

Connect = Callable[[str], Connection]
# A job that nobody has heard of for so long, from a printer that does not answer, is lost. A busy one is asked for
# ten minutes before it takes a job (``run.ipp.job.send``), so one without a number is waited for longer.
SILENCE = timedelta(minutes=10)
UNNUMBERED = timedelta(minutes=20)
# A person waits for the answer.
ASK_SECONDS = 5.0
CANCEL_SECONDS = 20.0


@dataclass(frozen=True)
class SentJob:
    """A job by its ``number`` on the bench, and what is to be done about it, where anything is."""

    number: int
    job: PrintJob
    to_do: Message | None

    @property
    def is_open(self) -> bool:
        return self.job.state not in ENDED


def asking(uri: str) -> Connection:
    """A connection on which nobody waits long."""
    return Connection(uri, ASK_SECONDS)


def jobs_of(
    bench: Bench, *, run: str | None = None, card: str | None = None, trial: str | None = None
) -> tuple[SentJob, ...]:
    """The jobs that were sent for a kept run, for a single card or for a trial, oldest first, as they are on record."""
    found = bench.runs.numbered_jobs(run, of_no_run=run is None)
    return tuple(
        _sent(number, job)
        for number, job in found
        if run is not None or (job.card, job.trial) == (card, trial)
    )


def settled(bench: Bench, jobs: Sequence[SentJob], connect: Connect = asking) -> tuple[SentJob, ...]:
    """The same jobs as they stand now: printers are asked after those that are open, and what they say is kept.

    One that its printer no longer knows is lost, and so is one of a printer that has been silent for ``SILENCE``.
    """
    silent: dict[str, Message] = {}
    return tuple(_settled(bench, each, connect, silent) if each.is_open else each for each in jobs)


def asking_nearby(uri: str) -> Connection:
    """The same, to this machine's own network and nowhere else."""
    return printer_nearby(uri, ASK_SECONDS)


def cancel_jobs(
    bench: Bench, run: str, number: int | None = None, *, connect: Connect = asking
) -> tuple[SentJob, ...]:
    """Cancel the open jobs of a run at their printers, or the one of that ``number``, also where it is lost; each as it
    stands then, which is kept.

    Raises NotFound, BadRequest where there is nothing to cancel, PrinterTrouble where a printer does not answer or will
    not: the record stays as it was.
    """
    kept = bench.runs.get(run).id
    return _cancel(bench, jobs_of(bench, run=kept), number, connect, kept or run)


def cancel_other_jobs(
    bench: Bench, *, card: str | None = None, trial: str | None = None, connect: Connect = asking
) -> tuple[SentJob, ...]:
    """The same for a single card, or for the sheet of a trial."""
    return _cancel(bench, jobs_of(bench, card=card, trial=trial), None, connect, "")


def _cancel(
    bench: Bench, jobs: Sequence[SentJob], number: int | None, connect: Connect, run: str
) -> tuple[SentJob, ...]:
    found = [
        each
        for each in jobs
        if (each.is_open if number is None else each.number == number and _may_print(each))
    ]
    if not found:
        raise BadRequest("printing.nothing-to-cancel", run=run)
    return tuple(_cancelled(bench, each, connect) for each in found)


def _may_print(each: SentJob) -> bool:
    return each.is_open or each.job.state == "lost"


def _cancelled(bench: Bench, each: SentJob, connect: Connect) -> SentJob:
    job = each.job
    if job.job_id is None:
        raise PrinterTrouble("printing.no-number", document=job.document)
    connection = connect(job.uri)
    cancel(connection, job.job_id)
    news = JobNews(job.job_id, "processing", job.reasons, job.sheets_done, job.ignored)
    last = follow(
        connection, news, lambda _: None, every_seconds=1.0, patience_seconds=CANCEL_SECONDS,
        at_most_seconds=CANCEL_SECONDS,
    )  # fmt: skip
    if last.state == "lost":  # it goes on to a place where it can stop, and says how it stands later
        last = news
    return _noted(bench, each, with_news(job, last, datetime.now(UTC)))


def _settled(bench: Bench, each: SentJob, connect: Connect, silent: dict[str, Message]) -> SentJob:
    job, now = each.job, datetime.now(UTC)
    if job.job_id is None:
        if now - job.made_at < UNNUMBERED:
            return each
        return _noted(bench, each, _lost(job, Message("printing.forgotten"), now))
    try:
        if job.uri in silent:
            raise NoAnswer.saying(silent[job.uri])
        news = look(connect(job.uri), job.job_id)
    except JobForgotten as trouble:
        return _noted(bench, each, _lost(job, trouble.message, now))
    except BadRequest:  # an address that is not called from here
        return each
    except PrinterTrouble as trouble:
        silent[job.uri] = trouble.message
        lost = now - job.made_at >= SILENCE
        return _noted(bench, each, _lost(job, trouble.message, now)) if lost else each
    latest = with_news(job, news, now).model_copy(update={"ignored": job.ignored})
    if latest.model_copy(update={"made_at": job.made_at}) == job:
        return each
    return _noted(bench, each, latest)


def _lost(job: PrintJob, trouble: Message, now: datetime) -> PrintJob:
    return job.model_copy(update={"state": "lost", "reasons": (), "trouble": trouble, "made_at": now})


def _noted(bench: Bench, each: SentJob, job: PrintJob) -> SentJob:
    bench.runs.note_job(job, each.number)
    return _sent(each.number, job)


def _sent(number: int, job: PrintJob) -> SentJob:
    if job.state == "completed":
        return SentJob(number, job, None)
    what = "open" if job.state not in ENDED else "lost" if job.state == "lost" else "ended"
    if job.run is None:
        return SentJob(number, job, Message(f"printing.card-when-{what}"))
    return SentJob(number, job, Message(f"printing.do-when-{what}", run=job.run, batch=job.batch))
