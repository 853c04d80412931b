"""``tackside read``: a printed sheet read back from a scan or an instrument file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.cli.learnt import scanner_use
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.reading_page import reading_page
from tackside.cli.worked_out import work_out_for_choosing
from tackside.reading.drying import dried
from tackside.reading.files import read_files
from tackside.records import Reading


def read(
    trial: Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")],
    files: Annotated[
        list[Path],
        Parameter(help="A scan (TIFF, PNG, JPEG) or an instrument file (CGATS, CxF), told apart by content."),
    ],
    /,
    *,
    device: Annotated[
        str | None,
        Parameter(help="The scanner and its settings in your words: readings with the same are comparable."),
    ] = None,
    scanner: Annotated[
        str | None, Parameter(help="A scanner that you have learnt: see tackside scanner learn.")
    ] = None,
) -> Outcome:
    """Read a printed sheet back, from a scan or an instrument file.

    Several files make one reading. Scans of single panels are put together; each patch comes from the scan that
    shows the most marks. With an instrument file all colours are its own, and scans add only placement and lines.
    """
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    use = None
    if scanner is not None:
        use = scanner_use(bench, Scanners(bench.folder).get(scanner), found)
    reading = read_files(files, found.sheet, trial=found.id, device=device, scanner=use)
    reading = dried(reading, found.settings.drying_hours)
    for file in files:
        bench.keep_file(file)
    kept = bench.readings.add(reading)
    work_out_for_choosing(bench, [found.id])
    return Outcome(document(kept), reading_page(kept, found))


def document(reading: Reading) -> dict[str, Any]:
    """The reading as plain data, under the names that scripts rely on."""
    plain = reading.model_dump(mode="json")
    sources = [
        {"name": reading.source_name, "sha256": reading.source_sha256},
        *(source.model_dump() for source in reading.further_sources),
    ]
    return {
        "reading": plain.pop("id"),
        **{name: value for name, value in plain.items() if name != "further_sources"},
        "sources": sources,
    }
