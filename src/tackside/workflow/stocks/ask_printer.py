"""Ask a printer on the network what it can do, and keep what it tells of itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tackside.bench.repositories.revisions import Revision
from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.records import Printer
from tackside.run.ipp.capabilities import Capabilities
from tackside.run.ipp.client import Connection
from tackside.run.ipp.job import ask_printer
from tackside.run.ipp.printer_record import gaps, merged, printer_record


@dataclass(frozen=True)
class AskedPrinter:
    """A printer as it was kept, with all its revisions, what it told, and what is still to be found out."""

    kept: Revision[Printer]
    history: tuple[Revision[Printer], ...]
    is_new: bool
    told: Capabilities
    gaps: tuple[Message, ...]


def ask_and_keep(open_bench: Callable[[], Bench], address: str, name: str | None = None) -> AskedPrinter:
    """Ask a printer what it can do (IPP), and keep its record under ``name`` or what it calls itself.

    What a person has noted before and printers never say, such as the thickest card, is kept. The bench is opened
    once the printer has told. Raises PrinterTrouble, BadRecord.
    """
    told = ask_printer(Connection(address))
    printer = printer_record(told, name)
    bench = open_bench()
    known = {each.name: each for each in bench.printers.list()}.get(printer.name)
    added = bench.printers.add(printer if known is None else merged(printer, known))
    kept = bench.printers.kept(printer.name)
    history = bench.printers.history(printer.name)
    return AskedPrinter(kept, history, added.is_new, told, tuple(gaps(told, kept.record)))
