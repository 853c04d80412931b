"""Ask a printer on the network what it can do, and keep what it tells of itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tackside.bench.repositories.revisions import Revision
from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records import Printer
from tackside.run.ipp.capabilities import Capabilities
from tackside.run.ipp.client import Connection
from tackside.run.ipp.discovery import Announced as Announced
from tackside.run.ipp.discovery import find_printers
from tackside.run.ipp.job import ask_printer
from tackside.run.ipp.own_network import printer_nearby
from tackside.run.ipp.printer_record import gaps, merged, printer_record

LONGEST_S = 120.0  # that one listens for printers


@dataclass(frozen=True)
class AskedPrinter:
    """A printer as it was kept, with all its revisions, what it told, and what is still to be found out."""

    kept: Revision[Printer]
    history: tuple[Revision[Printer], ...]
    is_new: bool
    told: Capabilities
    gaps: tuple[Message, ...]


def ask_and_keep(
    open_bench: Callable[[], Bench],
    address: str,
    name: str | None = None,
    *,
    connect: Callable[[str], Connection] = Connection,
) -> AskedPrinter:
    """Ask a printer what it can do (IPP), and keep its record under ``name`` or what it calls itself.

    What a person has noted before and printers never say, such as the thickest card, is kept. The bench is opened
    once the printer has told. Raises PrinterTrouble, BadRecord.
    """
    told = ask_printer(connect(address))
    printer = printer_record(told, name)
    bench = open_bench()
    known = {each.name: each for each in bench.printers.list()}.get(printer.name)
    added = bench.printers.add(printer if known is None else merged(printer, known))
    kept = bench.printers.kept(printer.name)
    history = bench.printers.history(printer.name)
    return AskedPrinter(kept, history, added.is_new, told, tuple(gaps(told, kept.record)))


def ask_nearby(bench: Bench, address: str, name: str | None = None) -> AskedPrinter:
    """The same for whoever asks by a page: only printers on this machine's own network are called."""
    return ask_and_keep(lambda: bench, address, name, connect=printer_nearby)


def printers_around(seconds: float) -> tuple[Announced, ...]:
    """The printers on the network that announce themselves (DNS-SD) while we listen. Raises BadRequest for no time, or
    too long a one; PrinterTrouble.
    """
    if not 0 < seconds <= LONGEST_S:
        raise BadRequest("ipp.not-so-long", seconds=seconds)
    return find_printers(seconds)
