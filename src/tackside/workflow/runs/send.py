"""Send sheets of a kept run to a printer that speaks IPP: made ready and checked first, then sent and followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from tackside.bench.store import Bench
from tackside.errors import PrinterTrouble
from tackside.messages.message import Message
from tackside.records.run import KeptRun, PrintJob
from tackside.run.ipp.client import Connection
from tackside.run.ipp.job import JobNews, Stop, ask_printer
from tackside.run.ipp.sending import Consignment, consign, send_all
from tackside.run.plan.parcels import parcels_of, run_of
from tackside.run.plan.progress import batch_of


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
    """Sheets ready to be sent: all that a person must know before saying yes, and the printer's line."""

    run: KeptRun
    batch: int
    consignment: Consignment
    connection: Connection

    @property
    def left_out(self) -> tuple[Message, ...]:
        """What the printer cannot be asked, so that the first sheet must be looked at; each once."""
        return tuple(dict.fromkeys(each for ticket in self.consignment.tickets for each in ticket.left_out))

    @property
    def cost(self) -> Decimal:
        """Card and ink of these sheets, in the run's currency."""
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
) -> Ready:
    """Ask the printer, and check everything before anything is sent: of one ``card`` of the batch or all, so many
    ``sheets`` or all that are left. Raises NotFound, BadRequest, DoesNotFit, PrinterTrouble."""
    asked = wishes or SendWishes()
    kept = bench.runs.get(run)
    found = batch_of(kept, batch)
    parcels = parcels_of(
        run_of(kept), found, bench.runs.tallies(kept.id), bench.runs.jobs(kept.id), card=card, sheets=sheets
    )
    connection = Connection(address)
    consignment = consign(
        kept.id or run,
        batch,
        bench.stocks.get(found.stock),
        bench.printers.get(found.printer),
        address,
        ask_printer(connection),
        parcels,
        face=asked.face,
        media_type=asked.media_type,
        quality=asked.quality,
        intent=asked.intent,
    )
    return Ready(kept, batch, consignment, connection)


def send(
    bench: Bench, ready: Ready, tell: Callable[[str, JobNews], None], stop: Stop = lambda _: False
) -> tuple[PrintJob, ...]:
    """Send the sheets, follow each job to its end and keep it with the run; ``tell`` hears of each by its name.

    Once ``stop`` says so, the job at work is cancelled at the printer and no further one is sent. Raises PrinterTrouble
    for a refusal, and where a job ends otherwise than completed.
    """
    jobs = tuple(
        send_all(
            ready.consignment, bench.runs.note_job, ready.connection, lambda: datetime.now(UTC), tell, stop
        )
    )
    _refuse_unfinished(jobs, ready)
    return jobs


def _refuse_unfinished(jobs: tuple[PrintJob, ...], ready: Ready) -> None:
    here: dict[str, object] = {"run": ready.run.id, "batch": ready.batch}
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
