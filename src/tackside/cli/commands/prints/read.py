"""``tackside read``: a printed sheet read back from a scan or an instrument file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder, on_stderr
from tackside.cli.views.reading_page import reading_lines, reading_page
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.records import Reading
from tackside.workflow.read import read_print
from tackside.workflow.sent_files import SentFile


def read(
    trial: Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")],
    files: Annotated[
        list[Path],
        Parameter(help="A scan (TIFF, PNG, JPEG) or an instrument file (CGATS, CxF), recognised by content."),
    ],
    /,
    *,
    device: Annotated[
        str | None,
        Parameter(help="The scanner and its settings in your words: readings with the same are comparable."),
    ] = None,
    scanner: Annotated[
        str | None, Parameter(help="A scanner that you have characterised: see tackside scanner learn.")
    ] = None,
    full: Annotated[
        bool, Parameter(negative=(), help="Show everything: where the print fell, lines, all notices.")
    ] = False,
) -> Outcome:
    """Read a printed sheet back, from a scan or an instrument file.

    Several files make one reading. Scans of single panels are put together; each patch comes from the scan that
    shows the most marks. With an instrument file all colours are its own, and scans add only placement and lines.
    """
    bench = Bench.open(bench_folder(), create=False)
    sent = [SentFile.at(file) for file in files]
    kept = read_print(bench, trial, sent, device=device, scanner=scanner, progress=on_stderr())
    shown = reading_page if full else reading_lines
    found = bench.trials.get(trial)
    marked = (Message("practice.marked"),) if found.practice else ()
    return Outcome({**document(kept), "practice": found.practice}, shown(kept, found), marked)


def document(reading: Reading) -> dict[str, Any]:
    """The reading as plain data, under the names that scripts rely on."""
    plain = reading.model_dump(mode="json")
    basis = reading.uncertainty.basis
    plain["uncertainty"] |= {
        "basis": str(basis),
        "basis_code": basis.code,
        "basis_values": basis.as_data()["values"],
    }
    plain["notices"] = documents(reading.notices)
    sources = [
        {"name": reading.source_name, "sha256": reading.source_sha256},
        *(source.model_dump() for source in reading.further_sources),
    ]
    return {
        "reading": plain.pop("id"),
        **{name: value for name, value in plain.items() if name != "further_sources"},
        "sources": sources,
    }
