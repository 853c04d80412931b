"""``tackside scan``: printed sheets scanned from here, one after another, and judged."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from cyclopts import Parameter
from rich.console import Group, RenderableType
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.commands.prints.judge import document as verdict_document
from tackside.cli.commands.prints.judge import reference_document
from tackside.cli.session import Outcome, bench_folder, bench_if_there, faults_document, on_stderr
from tackside.cli.views import facts
from tackside.cli.views.verdict_page import verdict_lines, verdict_page
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.records import Reading
from tackside.workflow.judge import Judged
from tackside.workflow.scanning.found import scanners_around
from tackside.workflow.scanning.judged import JudgedScan, scan_and_judge
from tackside.workflow.scanning.scan import ScanOrder, used_scanners

_NO_MORE = ("q", "quit", "n", "no")


def scan(
    trial: Annotated[
        str | None, Parameter(help="Id of the trial; by default the tag on each sheet says it.")
    ] = None,
    *,
    from_: Annotated[
        str | None,
        Parameter(
            name="--from",
            help="The scanner: its address (http://scanner.local/eSCL), a device of SANE (sane:DEVICE), or the name of "
            "one used before. By default the last one.",
        ),
    ] = None,
    ppi: Annotated[Literal[300, 600], Parameter(help="Resolution: 600 shows lines and edges better.")] = 300,
    whole: Annotated[
        bool, Parameter(negative=(), help="Scan the whole glass, wherever the sheet lies on it.")
    ] = False,
    device: Annotated[
        str | None,
        Parameter(
            help="The scanner and its settings in your words; by default its name, resolution and bits."
        ),
    ] = None,
    scanner: Annotated[
        str | None, Parameter(help="A scanner that you have characterised: see tackside scanner learn.")
    ] = None,
    new_certificate: Annotated[
        bool, Parameter(negative=(), help="Trust a scanner that shows another certificate than before.")
    ] = False,
    list_: Annotated[
        bool, Parameter(name="--list", negative=(), help="Only list the scanners that are there.")
    ] = False,
    seconds: Annotated[float, Parameter(help="With --list: how long to listen.")] = 3.0,
    full: Annotated[
        bool, Parameter(negative=(), help="Show everything: reasons, figures, causes, what else would tell.")
    ] = False,
) -> Outcome:
    """Scan printed sheets from here, and judge them: by eSCL from a scanner on the network, or through SANE.

    The scanner is asked for what a reading needs: colour, 16 bits where it has them, no correction, no packing that
    loses, the area of the sheet with a margin. Lay the sheet into the corner of the glass, print down.

    Without a trial, sheets are scanned one after another: put the next on the glass and press Enter. The tag on each
    says which trial it is.
    """
    if list_:
        return _listed(seconds)
    bench = Bench.open(bench_folder(), create=False)
    order = ScanOrder(from_, None, ppi, whole, new_certificate)
    found: list[JudgedScan] = []
    faults: list[tuple[str, TacksideError]] = []
    many = trial is None and sys.stdin.isatty()
    for number in _sheets(many, faults):
        try:
            one = scan_and_judge(bench, order, trial, device=device, scanner=scanner, progress=on_stderr())
        except TacksideError as error:
            if not many:
                raise
            faults.append((str(number), error))
            _tell(error)
            continue
        found.append(one)
        faults += [(str(number), fault) for fault in one.faults]
        if many:
            for fault in one.faults:
                _tell(fault)
            for reading, judged in one.sheets:
                _tell(_in_a_line(reading, judged))
        order = ScanOrder(
            one.made.scanned.scanner if order.scanner is None else order.scanner, None, ppi, whole
        )
    sheets = [(one, reading, judged) for one in found for reading, judged in one.sheets]
    if not sheets and len(faults) == 1:
        raise faults[0][1]
    return Outcome(
        {
            "sheets": [_document(reading, judged) for _, reading, judged in sheets],
            "faults": faults_document(faults, "sheet"),
        },
        _shown([(reading, judged) for _, reading, judged in sheets], full=full),
        _marked(sheets),
        # What was said when it happened, and scanned again, is not said a second time.
        faults=() if many and sheets else tuple(fault for _, fault in faults),
    )


def _sheets(many: bool, faults: list[tuple[str, TacksideError]]) -> Iterator[int]:
    """The sheets one after another, from 1: one, or as many as the person puts on the glass."""
    number, told = 1, 0
    yield number
    while many:
        ask = Message("scanning.try-again" if len(faults) > told else "scanning.next-sheet")
        told = len(faults)
        print(f"{ask} ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line or line.strip().lower() in _NO_MORE:
            return
        number += 1
        yield number


def _tell(said: TacksideError | Message) -> None:
    over = "\r\033[K" if sys.stderr.isatty() else ""  # the line that told how far it is
    print(f"{over}tackside: " + " ".join(str(said).split()), file=sys.stderr, flush=True)


def _in_a_line(reading: Reading, judged: Judged) -> Message:
    trial = judged.known.trial
    return Message(
        "scanning.one-done",
        trial=reading.trial or "",
        stock=trial.stock if trial else "",
        grade=Message(f"verdict.grade.{judged.verdict.grade}"),
    )


def _document(reading: Reading, judged: Judged) -> dict[str, Any]:
    return {
        "trial": reading.trial,
        "reading": reading.id,
        "device": reading.device,
        "scanned": None if reading.scanned is None else reading.scanned.model_dump(mode="json"),
        "verdict": verdict_document(judged) | {"reference": reference_document(judged)},
    }


def _shown(sheets: list[tuple[Reading, Judged]], *, full: bool) -> RenderableType:
    parts: list[RenderableType] = []
    for reading, judged in sheets:
        trial = judged.known.trial
        title = f"Verdict on trial {reading.trial}" + (f": {trial.stock}, {trial.side} side" if trial else "")
        also = [] if reading.scanned is None else [Message("scanning.made", label=reading.scanned.label)]
        mind = [each for each in reading.notices if each.code.startswith("scanning.")]
        if full:
            parts.append(verdict_page(judged.verdict, title, (), trial))
            parts.append(facts.sentences([*mind, *also], "•", "dim"))
        else:
            parts.append(verdict_lines(judged.verdict, title, trial, (*mind, *also)))
        parts.append("")
    return Group(*parts[:-1]) if parts else Text("  Nothing was read.")


def _marked(sheets: list[tuple[JudgedScan, Reading, Judged]]) -> tuple[Message, ...]:
    is_practice = any(judged.known.trial is not None and judged.known.trial.practice for *_, judged in sheets)
    return (Message("practice.marked"),) if is_practice else ()


def _listed(seconds: float) -> Outcome:
    found = scanners_around(seconds)
    bench = bench_if_there()
    used = {each.address: each for each in used_scanners(bench)} if bench is not None else {}
    last = next(iter(used), None)
    rows = [
        (each.name, each.address, each.model, "last used" if each.address == last else "") for each in found
    ]
    shown: RenderableType = (
        facts.listing(("name", "address", "model", ""), rows)
        if found
        else str(Message("scanning.none-around"))
    )
    document = [
        {
            "name": each.name, "address": each.address, "model": each.model,
            "used_at": used[each.address].used_at.isoformat() if each.address in used else None,
        }
        for each in found
    ]  # fmt: skip
    return Outcome({"scanners": document}, shown)
