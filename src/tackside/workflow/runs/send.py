"""Send sheets of a kept run to a printer that speaks IPP: made ready and checked first, then sent and followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.card.file.design import Card, load_card
from tackside.errors import BadRequest, PrinterTrouble
from tackside.fit.fit_stock import fit_stock
from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.run import KeptRun, PrintJob
from tackside.run.ipp.client import Connection
from tackside.run.ipp.job import JobNews as JobNews
from tackside.run.ipp.job import Stop, ask_printer
from tackside.run.ipp.sending import Consignment, Parcel, consign, send_all
from tackside.run.plan.parcels import parcels_of, run_of
from tackside.run.plan.progress import batch_of
from tackside.run.plan.run_file import Run
from tackside.workflow.cards.make_kept import design_of, lay_out_files
from tackside.workflow.own_picture import own_pixels
from tackside.workflow.placement import print_path
from tackside.workflow.runs.asked import ASKED, asked_of
from tackside.workflow.runs.plan_asked import lay_out_asked
from tackside.workflow.runs.sent_jobs import Connect
from tackside.workflow.trials import note_settings, write_all


@dataclass(frozen=True)
class SendWishes:
    """How sheets are to be printed: ``face`` 0 is the outside, 1 the other one once the first is dry; ``media_type`` in
    the printer's own word; ``quality`` draft, normal or high; ``intent`` perceptual, relative, saturation, absolute."""

    face: int = 0
    media_type: str | None = None
    quality: str = "high"
    intent: str = "relative"


@dataclass(frozen=True)
class Ready:
    """Sheets ready to be sent: all that a person must know before saying yes, and the printer's line. ``run`` is None
    for a single card."""

    run: KeptRun | None
    batch: int | None
    consignment: Consignment
    connection: Connection

    @property
    def left_out(self) -> tuple[Message, ...]:
        """What the printer cannot be asked, so that the first sheet must be looked at; each once."""
        return tuple(dict.fromkeys(each for ticket in self.consignment.tickets for each in ticket.left_out))

    @property
    def cost(self) -> Decimal | None:
        """Card and ink of these sheets, in the run's currency; None for a single card, whose cost nobody worked out."""
        if self.run is None:
            return None
        costs = {
            line["name"]: Decimal(line["sheet_cost"])
            for batch in self.run.plan["batches"]
            for line in batch["cards"]
        }
        return sum((each.copies * costs[each.name] for each in self.consignment.parcels), Decimal(0))


def make_ready(
    bench: Bench,
    run: str,
    batch: int,
    address: str,
    *,
    card: str | None = None,
    sheets: int | None = None,
    wishes: SendWishes | None = None,
    folder: Path | None = None,
    connect: Connect = Connection,
    order: str | None = None,
) -> Ready:
    """Ask the printer, and check everything before anything is sent: of one ``card`` of the batch or all, so many
    ``sheets`` or all that are left.

    The prints are corrected for where they fall, as the cards' files are. ``folder`` is empty: what was planned on a
    page lies there until it is sent. Raises NotFound, BadRequest, DoesNotFit, PrinterTrouble.
    """
    kept = bench.runs.get(run)
    found = batch_of(kept, batch)
    parcels = parcels_of(
        _run_of(bench, kept, folder),
        found,
        bench.runs.tallies(kept.id),
        bench.runs.jobs(kept.id),
        card=card,
        sheets=sheets,
    )
    return _ready(
        bench, (found.stock, found.printer), parcels, address, wishes, connect, order, run=kept, batch=batch
    )


def make_card_ready(
    bench: Bench,
    card: str,
    address: str,
    folder: Path,
    *,
    sheets: int = 1,
    wishes: SendWishes | None = None,
    connect: Connect = Connection,
    order: str | None = None,
) -> Ready:
    """The same for ``sheets`` of a single kept card, laid out in an empty ``folder``; its prints are corrected for
    where they fall, as its files are."""
    kept = bench.cards.get(card)
    design = design_of(kept, lay_out_files(bench, kept, folder), folder)
    return make_design_ready(
        bench, design, kept.name, address, sheets=sheets, wishes=wishes, connect=connect, order=order
    )


def make_design_ready(
    bench: Bench,
    design: Card,
    name: str,
    address: str,
    *,
    sheets: int = 1,
    wishes: SendWishes | None = None,
    connect: Connect = Connection,
    order: str | None = None,
) -> Ready:
    """The same for a design at hand, as of a card file, that the record is to call ``name``."""
    if sheets <= 0:
        raise BadRequest("run.sheets-not-sent", sheets=sheets)
    parcels = (Parcel(design, sheets, name),)
    return _ready(bench, (design.stock, design.printer), parcels, address, wishes, connect, order)


def _ready(
    bench: Bench,
    names: tuple[str, str],
    parcels: tuple[Parcel, ...],
    address: str,
    wishes: SendWishes | None,
    connect: Connect,
    order: str | None,
    *,
    run: KeptRun | None = None,
    batch: int | None = None,
) -> Ready:
    """The parcels checked against what the printer says of itself; ``names``: of the stock and of the printer."""
    stock, printer = bench.stocks.get(names[0]), bench.printers.get(names[1])
    connection = connect(address)
    consignment = consign(
        run.id if run else None,
        batch,
        stock,
        printer,
        address,
        ask_printer(connection),
        parcels,
        order=order,
        path=print_path(bench, stock, printer, corrected=True),
        **asdict(wishes or SendWishes()),
    )
    return Ready(run, batch, consignment, connection)


def make_file_ready(
    bench: Bench,
    file: Path,
    address: str,
    *,
    sheets: int = 1,
    wishes: SendWishes | None = None,
    connect: Connect = Connection,
) -> Ready:
    """The same for a card file; the record calls it by the file's name. Raises what loading it raises."""
    design = load_card(file)
    return make_design_ready(
        bench, design, file.stem[:80], address, sheets=sheets, wishes=wishes, connect=connect
    )


def make_trial_ready(
    bench: Bench,
    trial: str,
    address: str,
    *,
    wishes: SendWishes | None = None,
    connect: Connect = Connection,
    order: str | None = None,
) -> Ready:
    """The same for the test sheet of a trial, in the feed and with the side up that it was made for.

    Raises BadRequest for a sheet of bare numbers: a printer can't be asked to leave them as they are.
    """
    found = bench.trials.get(trial)
    if found.sheet.space is None or found.through is not None:
        raise BadRequest("printing.bare-numbers", trial=found.id)
    stock = bench.stocks.get(found.stock, found.stock_revision)
    printer = bench.printers.get(found.printer, found.printer_revision)
    connection = connect(address)
    asked = replace(wishes or SendWishes(), face=0)
    consignment = consign(
        None,
        None,
        stock,
        printer,
        address,
        ask_printer(connection),
        (Parcel(lambda out: _draw_sheet(bench, found, out), found.sheet.pages, found.id),),
        order=order,
        fit=fit_stock(stock, printer, found.feed or None, found.side),
        trial=found.id,
        **asdict(asked),
    )
    return Ready(None, None, consignment, connection)


def _draw_sheet(bench: Bench, trial: Trial, out: Path) -> None:
    """The sheet of a trial as its files have it, a picture of the person's own in its place."""
    write_all(trial.sheet, [out], own=own_pixels(bench, trial.own_picture, trial.sheet))


def note_as_sent(bench: Bench, ready: Ready) -> None:
    """Note with a trial how its sheet was printed, as far as nobody has noted it yet."""
    sent = ready.consignment
    if sent.trial is None:
        return
    before = bench.trials.get(sent.trial).settings
    known = {"media_setting": sent.media_type, "quality": sent.quality, "colour_managed_by": "driver"}
    new = {name: value for name, value in known.items() if value and getattr(before, name) is None}
    if new:
        note_settings(bench, sent.trial, new)


def last_address(bench: Bench, printer: str) -> str | None:
    """Where sheets for that printer were sent last; None where none were."""
    used = [job.uri for job in bench.runs.jobs() if job.printer == printer]
    return used[-1] if used else None


def _run_of(bench: Bench, kept: KeptRun, folder: Path | None) -> Run:
    if ASKED not in kept.plan or folder is None:
        return run_of(kept)
    asked = asked_of(kept)
    lay_out_asked(bench, asked, folder)
    return asked.run.model_copy(update={"folder": folder})


def send(
    bench: Bench,
    ready: Ready,
    tell: Callable[[str, JobNews], None],
    stop: Stop = lambda _: False,
    drawing: Callable[[str], None] = lambda _: None,
) -> tuple[PrintJob, ...]:
    """Send the sheets, follow each job to its end and keep it with the run; ``tell`` hears of each by its name, and
    ``drawing`` of each before its file is made.

    Once ``stop`` says so, the job at work is cancelled at the printer and no further one is sent. Raises PrinterTrouble
    for a refusal, and where a job ends otherwise than completed.
    """
    jobs = tuple(
        send_all(
            ready.consignment,
            bench.runs.note_job,
            ready.connection,
            lambda: datetime.now(UTC),
            tell,
            stop,
            drawing,
        )
    )
    _refuse_unfinished(jobs, ready)
    note_as_sent(bench, ready)
    return jobs


def _refuse_unfinished(jobs: tuple[PrintJob, ...], ready: Ready) -> None:
    here: dict[str, Any] = {"run": ready.run.id if ready.run else "", "batch": ready.batch or 0}
    if sum(job.copies for job in jobs) == ready.consignment.sheets and jobs[-1].state == "completed":
        return
    if not jobs or jobs[-1].state == "completed":
        raise PrinterTrouble("printing.none-sent", **here)
    last = jobs[-1]
    known = last.state if last.state in ("lost", "aborted", "canceled") else "unfinished"
    raise PrinterTrouble(
        f"printing.{known}",
        job=last.job_id,
        document=last.document,
        state=last.state,
        reasons=last.trouble or ", ".join(last.reasons) or Message("printing.no-reason"),
        done=sum(job.copies for job in jobs if job.state == "completed"),
        **here,
    )
