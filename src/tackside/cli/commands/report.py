"""``tackside report``: the comparison of trials as one page, ready to publish."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.files import write_atomically
from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.report import Entry, render_report


def report(
    *trials: Annotated[str, Parameter(help="Ids of trials that have been read and judged.")],
    out: Annotated[Path, Parameter(help="The page to write: FILE.html.")],
    title: Annotated[str | None, Parameter(help="Title of the page.")] = None,
    note: Annotated[str | None, Parameter(help="A line under the title, such as who tested.")] = None,
) -> Outcome:
    """Write one self-contained HTML page that compares trials: verdicts, figures, patches, settings.

    It needs nothing from outside and prints well on A4; print it from a browser for a PDF.
    """
    _check(out)
    if not trials:
        raise BadRequest("there is no trial to report on", "name one or more; tackside trial list shows them")
    bench = Bench.open(bench_folder(), create=False)
    entries = [entry_of(bench, trial) for trial in dict.fromkeys(trials)]
    write_atomically(out, render_report(entries, title=title, note=note).encode("utf-8"))
    return Outcome(
        {"file": str(out), "trials": [entry.trial.id for entry in entries]}, f"The report is {out}."
    )


def entry_of(bench: Bench, trial_id: str) -> Entry:
    """A trial with its newest verdict and the reading that it judges. Raises NotFound."""
    trial = bench.trials.get(trial_id)
    verdict = bench.verdicts.latest(trial.id)
    reading = bench.readings.get(verdict.reading) if verdict.reading else bench.readings.latest(trial.id)
    return Entry(
        trial=trial,
        stock=bench.stocks.get(trial.stock, trial.stock_revision),
        printer=bench.printers.get(trial.printer, trial.printer_revision),
        reading=reading,
        verdict=verdict,
    )


def _check(out: Path) -> None:
    suffix = out.suffix.lower()
    if suffix == ".pdf":
        raise BadRequest(
            "the report is written as HTML, not as PDF",
            f"name it {out.with_suffix('.html').name}, open it in a browser and print it to PDF",
        )
    if suffix not in (".html", ".htm"):
        raise BadRequest(f"{out.name} does not say what it is to be", "end the name of --out in .html")
