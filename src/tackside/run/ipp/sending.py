"""Sheets of a kept run on their way to a printer that speaks IPP: the file, the ticket, the job, the record."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from tackside.card.checks.remarks import stock_side
from tackside.card.file.design import Card
from tackside.card.make import lay_out_for
from tackside.errors import BadRequest, DoesNotFit, PrinterTrouble
from tackside.files.atomic import sha256_of
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.records.run import PrintJob
from tackside.records.sheet_plan import Side
from tackside.run.ipp.capabilities import Capabilities
from tackside.run.ipp.client import Connection, NoAnswer
from tackside.run.ipp.job import JobNews, Stop, follow, send, with_news
from tackside.run.ipp.sheet_file import JPEG, drawn_file, kind_for, sheet_file
from tackside.run.ipp.ticket import QUALITIES, PrintRequest, Ticket, ticket

Draw = Callable[[Path], None]


@dataclass(frozen=True)
class Parcel:
    """One job to be: a design, how many copies, and which of the run's cards it is; ``row`` of its list, from 1.

    A test sheet has no design, but draws itself as a PDF into the file that it is given.
    """

    card: Card | Draw
    copies: int
    name: str
    row: int | None = None

    @property
    def document(self) -> str:
        """What the printer and the record of the job call it."""
        return self.name if self.row is None else f"{self.name}, row {self.row}"


@dataclass(frozen=True)
class Consignment:
    """All that a confirmation must name, and all that sending needs. ``printed_on`` is the face of the stock that is
    printed; None for a sheet that is no card."""

    run: str | None
    batch: int | None
    stock: Stock
    printer: Printer
    uri: str
    told: Capabilities
    parcels: tuple[Parcel, ...]
    face: int
    tickets: tuple[Ticket, ...]
    kind: str
    media_type: str | None
    quality: str
    order: str | None = None
    path: PrintPath = UNKNOWN_PATH
    trial: str | None = None
    printed_on: Side | None = None

    @property
    def sheets(self) -> int:
        return sum(parcel.copies for parcel in self.parcels)


def consign(
    run: str | None,
    batch: int | None,
    stock: Stock,
    printer: Printer,
    uri: str,
    told: Capabilities,
    parcels: tuple[Parcel, ...],
    *,
    face: int = 0,
    media_type: str | None = None,
    quality: str = "high",
    intent: str = "relative",
    order: str | None = None,
    path: PrintPath = UNKNOWN_PATH,
    fit: Fit | None = None,
    trial: str | None = None,
) -> Consignment:
    """Check everything before anything is sent; ``fit`` where it is known how the sheet is fed.

    Raises DoesNotFit, PrinterTrouble, BadRequest."""
    if not told.accepts_jobs:
        raise PrinterTrouble("ipp.takes-no-jobs", printer=printer.name)
    kind = kind_for(told, [parcel.card for parcel in parcels], printer.name)
    fit = fit or fit_stock(stock, printer)
    if fit.feed is None:
        raise DoesNotFit("run.card-not-fed", printer=printer.name, stock=stock.name)
    printed_on = _printed_on(parcels[:1], stock, printer, face, path)
    split = tuple(each for parcel in parcels for each in _within_copies(parcel, told))
    if not split:
        raise BadRequest("ipp.nothing-left")
    tickets = tuple(
        ticket(told, _wanted(fit, told, media_type, quality, intent, each.copies)) for each in split
    )
    if kind == JPEG:
        tickets = tuple(replace(each, left_out=(*each.left_out, Message("ipp.as-jpeg"))) for each in tickets)
    return Consignment(
        run,
        batch,
        stock,
        printer,
        uri,
        told,
        split,
        face,
        tickets,
        kind,
        media_type,
        quality,
        order,
        path,
        trial,
        printed_on,
    )


def send_all(
    consignment: Consignment,
    note: Callable[[PrintJob, int | None], int],
    connection: Connection,
    now: Callable[[], datetime],
    tell: Callable[[str, JobNews], None],
    stop: Stop = lambda _: False,
    drawing: Callable[[str], None] = lambda _: None,
    **patience: Any,
) -> Iterator[PrintJob]:
    """Send one job after another, each followed to its end and recorded as it goes; stops at the first that fails, and
    where ``stop`` says so: then the job at work is cancelled at the printer.

    ``note`` keeps a job as it stands, under a number of its own or the one that it was given before, and gives the
    number; ``drawing`` hears of each sheet, by its name, when its file is begun. ``patience`` goes to ``follow``. A job
    is on record before its file goes out, so that none is forgotten whatever happens after. Raises PrinterTrouble for a
    refusal; a job that ends otherwise than completed is the last one given.
    """
    for parcel, asked in zip(consignment.parcels, consignment.tickets, strict=True):
        drawing(parcel.document)
        with _file(consignment, parcel) as file:
            if stop(None):
                return
            job = _record(consignment, parcel, asked, file, now())
            number = note(job, None)

            def noted(
                news: JobNews, job: PrintJob = job, number: int = number, name: str = parcel.document
            ) -> PrintJob:
                changed = with_news(job, news, now())
                note(changed, number)
                tell(name, news)
                return changed

            try:
                news = send(
                    connection, consignment.told, asked, file, consignment.kind, parcel.document, stop=stop
                )
            except PrinterTrouble as trouble:
                state = "lost" if isinstance(trouble, NoAnswer) else "aborted"
                refused = job.model_copy(
                    update={"state": state, "trouble": trouble.message, "made_at": now()}
                )
                note(refused, number)
                raise
            except BaseException:
                cut_off = {"state": "lost", "trouble": Message("printing.cut-off"), "made_at": now()}
                note(job.model_copy(update=cut_off), number)
                raise
            noted(news)
            last = follow(connection, news, lambda each: void(noted(each)), stop=stop, **patience)
        done = with_news(job, last, now())
        yield done
        if done.state != "completed":
            return


def _printed_on(
    parcels: Sequence[Parcel], stock: Stock, printer: Printer, face: int, path: PrintPath
) -> Side | None:
    """The face of the stock that is printed, the same for all cards of a batch. Raises BadRequest where the card has no
    such face, and what keeps it from being laid out."""
    for parcel in parcels:
        if isinstance(parcel.card, Card):
            laid = lay_out_for(parcel.card, stock, printer, path=path)
            if face >= len(laid.faces):
                raise BadRequest("ipp.no-such-face", card=parcel.document, faces=len(laid.faces))
            return stock_side(laid.faces[face], laid.outside_on)
    return None


def void(_: object) -> None:
    """Drop a value where none is wanted."""


def _wanted(
    fit: Fit, told: Capabilities, media_type: str | None, quality: str, intent: str, copies: int
) -> PrintRequest:
    source = fit.feed if fit.feed in told.sources else None
    return PrintRequest(fit.size_mm, fit.margins_mm, media_type, source, quality, intent, True, copies)


def _within_copies(parcel: Parcel, told: Capabilities) -> Iterator[Parcel]:
    """The printer makes so many copies at once; the rest goes in further jobs."""
    most = max(1, told.most_copies) if "copies" in told.job_attributes or not told.job_attributes else 1
    left = parcel.copies
    while left > 0:
        yield replace(parcel, copies=min(left, most))
        left -= most


def _file(consignment: Consignment, parcel: Parcel) -> AbstractContextManager[Path]:
    if not isinstance(parcel.card, Card):
        return drawn_file(parcel.card)
    return sheet_file(
        parcel.card,
        parcel.document,
        consignment.stock,
        consignment.printer,
        kind=consignment.kind,
        face=consignment.face,
        told=consignment.told,
        media_type=consignment.media_type,
        quality=QUALITIES[consignment.quality],
        path=consignment.path,
    )


def _record(
    consignment: Consignment, parcel: Parcel, asked: Ticket, file: Path, made_at: datetime
) -> PrintJob:
    return PrintJob(
        run=consignment.run,
        batch=consignment.batch,
        card=parcel.name if consignment.run is None and consignment.trial is None else None,
        trial=consignment.trial,
        order=consignment.order,
        printer=consignment.printer.name,
        uri=consignment.uri,
        document=parcel.document,
        document_sha256=sha256_of(file),
        copies=parcel.copies,
        asked={**asked.plain, "document-format": consignment.kind, "ipp-attribute-fidelity": True},
        state="sent",
        made_at=made_at,
    )
