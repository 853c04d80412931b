"""A job from file to finish: checked, sent, followed, given up on (RFC 8011 sections 4.2 and 4.3)."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from enum import IntEnum
from pathlib import Path

from tackside.errors import PrinterTrouble
from tackside.messages.message import Message
from tackside.records.run import JobState, PrintJob
from tackside.run.ipp.capabilities import Capabilities, capabilities
from tackside.run.ipp.client import Connection, refusal
from tackside.run.ipp.ticket import Ticket
from tackside.run.ipp.values import AttributeGroup, IppAttribute, IppMessage, IppTag, attribute


class JobForgotten(PrinterTrouble):
    """The printer has no such job."""


class Operation(IntEnum):
    """RFC 8011 section 5.4.15."""

    PRINT_JOB = 0x0002
    VALIDATE_JOB = 0x0004
    CREATE_JOB = 0x0005
    SEND_DOCUMENT = 0x0006
    CANCEL_JOB = 0x0008
    GET_JOB_ATTRIBUTES = 0x0009
    GET_PRINTER_ATTRIBUTES = 0x000B


# RFC 8011 section 5.3.7, job-state.
_STATES: dict[int, JobState] = {
    3: "pending",
    4: "held",
    5: "processing",
    6: "stopped",
    7: "canceled",
    8: "aborted",
    9: "completed",
}
ENDED: frozenset[JobState] = frozenset({"canceled", "aborted", "completed", "lost"})
_WANTED = ("job-state", "job-state-reasons", "job-media-sheets-completed", "job-impressions-completed")
_BUSY = 0x0507
_NOT_FOUND = 0x0406
# RFC 8011 appendix B: not possible (the job has ended), not found (and is forgotten).
_ENDED_ALREADY = (0x0404, _NOT_FOUND)
# RFC 8011 appendix B: fine, but some attributes were ignored or replaced.
_SUBSTITUTED = 0x0001

Told = Callable[["JobNews"], None]
# Whether a person wants the job stopped; given how it stands, None where the printer has none of it yet.
Stop = Callable[["JobNews | None"], bool]


@dataclass(frozen=True)
class JobNews:
    """What is known of a job: its number on the printer, its state, how many sheets came out.

    ``reasons`` are the printer's own keywords for its state (RFC 8011 section 5.3.8); ``trouble`` is why
    nothing more is known of a job that is lost.
    """

    id: int
    state: JobState
    reasons: tuple[str, ...] = ()
    sheets: int | None = None
    ignored: tuple[str, ...] = ()
    trouble: Message | None = None


def ask_printer(connection: Connection) -> Capabilities:
    """What the printer says of itself. Raises PrinterTrouble."""
    asked = attribute("requested-attributes", IppTag.KEYWORD, "all", "media-col-database")
    answer = connection.ask(Operation.GET_PRINTER_ATTRIBUTES, (asked,))
    return capabilities(answer.group(IppTag.PRINTER))


def send(
    connection: Connection,
    told: Capabilities,
    ticket: Ticket,
    file: Path,
    kind: str,
    name: str,
    *,
    busy_seconds: float = 600.0,
    every_seconds: float = 2.0,
    sleep: Callable[[float], None] = time.sleep,
    stop: Stop = lambda _: False,
) -> JobNews:
    """Send a file of MIME type ``kind``. The printer must follow each attribute of the ticket or refuse the job.

    A printer that is busy with another job is asked again for ``busy_seconds``, or until ``stop``. Raises
    PrinterTrouble where it refuses, and nothing is printed then; NoAnswer where it falls silent, and nobody knows.
    """

    def begin(operation: Operation, head: tuple[IppAttribute, ...], document: Path | None) -> JobNews:
        waited = 0.0
        while True:
            answer = connection.ask(operation, head, ticket.attributes, document, accept=(_BUSY,))
            if answer.code != _BUSY:
                return _news(answer, None)
            if waited >= busy_seconds or stop(None):
                raise refusal(answer)
            sleep(every_seconds)
            waited += every_seconds

    head = (
        *_head(name),
        attribute("document-format", IppTag.MIME_TYPE, kind),
        attribute("ipp-attribute-fidelity", IppTag.BOOLEAN, True),
    )
    if Operation.VALIDATE_JOB in told.operations:
        connection.ask(Operation.VALIDATE_JOB, head, ticket.attributes)
    if not {Operation.CREATE_JOB, Operation.SEND_DOCUMENT} <= set(told.operations):
        return begin(Operation.PRINT_JOB, head, file)
    fidelity = attribute("ipp-attribute-fidelity", IppTag.BOOLEAN, True)
    made = begin(Operation.CREATE_JOB, (*_head(name), fidelity), None)
    whole = (
        attribute("job-id", IppTag.INTEGER, made.id),
        *_head(None),
        attribute("document-format", IppTag.MIME_TYPE, kind),
        attribute("last-document", IppTag.BOOLEAN, True),
    )
    try:
        sent = connection.ask(Operation.SEND_DOCUMENT, whole, document=file)
    except PrinterTrouble:
        with contextlib.suppress(PrinterTrouble):
            cancel(connection, made.id)  # an empty job would hold up those behind it
        raise
    return replace(_news(sent, made.id), ignored=made.ignored)


def follow(
    connection: Connection,
    news: JobNews,
    tell: Told,
    *,
    every_seconds: float = 2.0,
    patience_seconds: float = 60.0,
    at_most_seconds: float = 6 * 3600.0,
    sleep: Callable[[float], None] = time.sleep,
    clock: Callable[[], float] = time.monotonic,
    stop: Stop = lambda _: False,
) -> JobNews:
    """Ask after a job until it has ended; ``tell`` hears of each change.

    ``stop`` is asked each time, until it says yes: then the job is cancelled at the printer, and followed to its end.

    A printer that does not answer is asked again for ``patience_seconds``; then the job is ``lost``: what came out
    must be counted by hand. So it is after ``at_most_seconds``.
    """
    began = heard = clock()
    pause = every_seconds / 8  # a small job is soon done; a long one is asked after less and less often
    stopping = False
    while news.state not in ENDED:
        if not stopping and stop(news):
            stopping, pause = True, every_seconds / 8
            try:
                cancel(connection, news.id)
            except PrinterTrouble as trouble:  # it may yet be followed, and come to its end
                news = replace(news, trouble=trouble.message)
                tell(news)
        sleep(pause)
        pause = min(every_seconds, pause * 2)
        try:
            latest = replace(look(connection, news.id), ignored=news.ignored)
            heard = clock()
        except PrinterTrouble as trouble:
            if clock() - heard < patience_seconds:
                continue
            latest = replace(news, state="lost", reasons=(), trouble=trouble.message)
        if clock() - began > at_most_seconds and latest.state not in ENDED:
            latest = replace(latest, state="lost", trouble=Message("ipp.no-end"))
        if latest != news:
            tell(latest)
        news = latest
    return news


def look(connection: Connection, job: int) -> JobNews:
    """How a job stands now. Raises PrinterTrouble; JobForgotten where the printer knows no such job (any more)."""
    asked = (
        attribute("job-id", IppTag.INTEGER, job),
        attribute("requested-attributes", IppTag.KEYWORD, *_WANTED),
    )
    answer = connection.ask(Operation.GET_JOB_ATTRIBUTES, asked, accept=(_NOT_FOUND,))
    if answer.code == _NOT_FOUND:
        raise JobForgotten.saying(refusal(answer).message)
    return _news(answer, job)


def cancel(connection: Connection, job: int) -> None:
    """Cancel a job; one that has ended already is left alone. Raises PrinterTrouble where the printer does not
    answer or will not."""
    connection.ask(
        Operation.CANCEL_JOB,
        (attribute("job-id", IppTag.INTEGER, job), *_head(None)),
        accept=_ENDED_ALREADY,
    )


def _head(name: str | None) -> tuple[IppAttribute, ...]:
    user = attribute("requesting-user-name", IppTag.NAME, "tackside")
    return (user,) if name is None else (user, attribute("job-name", IppTag.NAME, name[:127]))


def _news(answer: IppMessage, job: int | None) -> JobNews:
    group = answer.group(IppTag.JOB)
    number = job if job is not None else _number(group, "job-id")
    state = _STATES.get(_number(group, "job-state") or 0)
    if number is None or (state is None and group.attributes):
        raise PrinterTrouble("ipp.job-unknown")
    sheets = _number(group, "job-media-sheets-completed")
    if sheets is None:
        sheets = _number(group, "job-impressions-completed")
    reasons = tuple(
        each for each in group.get("job-state-reasons") if isinstance(each, str) and each != "none"
    )
    ignored = tuple(each.name for each in answer.group(IppTag.UNSUPPORTED_GROUP).attributes)
    return JobNews(
        number, state or "pending", reasons, sheets, ignored if answer.code == _SUBSTITUTED else ()
    )


def _number(group: AttributeGroup, name: str) -> int | None:
    first = next(iter(group.get(name)), None)
    return first if isinstance(first, int) and not isinstance(first, bool) and first >= 0 else None


def with_news(job: PrintJob, news: JobNews, made_at: datetime) -> PrintJob:
    """The record of a job as it stands by the news of it."""
    return job.model_copy(
        update={
            "job_id": news.id,
            "state": news.state,
            "reasons": news.reasons,
            "trouble": news.trouble,
            "sheets_done": news.sheets,
            "ignored": news.ignored,
            "made_at": made_at,
        }
    )
