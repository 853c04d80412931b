"""``tackside report``: the comparison of trials, a short answer on one, or a site of all cards, ready to publish."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.files.atomic import explain, write_atomically
from tackside.report.entry import Entry
from tackside.report.gather import entry_of, extras_of
from tackside.report.pages.page import render_report
from tackside.report.pages.views import Extras


def report(
    *trials: Annotated[str, Parameter(help="Ids of trials that have been read and judged.")],
    out: Annotated[Path | None, Parameter(help="The report to write: FILE.html or FILE.pdf.")] = None,
    short: Annotated[
        bool, Parameter(negative=(), help="Half a page on one trial: can I print on this?")
    ] = False,
    catalogue: Annotated[
        Path | None, Parameter(help="Write a site of all stocks into this folder instead.")
    ] = None,
    title: Annotated[str | None, Parameter(help="Title of the page.")] = None,
    note: Annotated[str | None, Parameter(help="A line under the title, such as who tested.")] = None,
    licence: Annotated[
        str | None, Parameter(help="What others may do with it, such as CC BY 4.0; shown at its end.")
    ] = None,
    pictures: Annotated[bool, Parameter(help="Show the scans, all at one scale.")] = True,
    data: Annotated[bool, Parameter(help="Attach all figures and patches, as CGATS and CSV.")] = True,
) -> Outcome:
    """Write a comparison of trials: the answer first, then cards, figures, prints, settings, method.

    HTML is one page that needs nothing from outside; PDF is set for A4. Look through the pictures and notes before
    you publish: they go out as they are.
    """
    if catalogue is not None:
        if trials or out is not None or short:
            raise BadRequest("--catalogue takes all stocks", "leave out the trials, --out and --short")
        return _write_catalogue(catalogue, title, licence, pictures=pictures, data=data)
    if out is None:
        raise BadRequest("the report has no name", "add --out FILE.html or --out FILE.pdf")
    suffix = out.suffix.lower()
    if suffix not in (".html", ".htm", ".pdf"):
        raise BadRequest(
            f"{out.name} does not say what it is to be", "end the name of --out in .html or .pdf"
        )
    if not trials:
        raise BadRequest("there is no trial to report on", "name one or more; tackside trial list shows them")
    bench = Bench.open(bench_folder(), create=False)
    entries = [entry_of(bench, trial) for trial in dict.fromkeys(trials)]
    if short:
        content = _short(entries, suffix)
    else:
        content = _full(
            entries, suffix, title, note, extras_of(bench, entries, licence, pictures=pictures, data=data)
        )
    write_atomically(out, content)
    return Outcome(
        {"file": str(out), "trials": [entry.trial.id for entry in entries]}, f"The report is {out}."
    )


def _full(
    entries: Sequence[Entry], suffix: str, title: str | None, note: str | None, extras: Extras
) -> bytes:
    if suffix == ".pdf":
        from tackside.report.pages.paper import render_pdf

        return render_pdf(entries, title=title, note=note, extras=extras)
    return render_report(entries, title=title, note=note, extras=extras).encode("utf-8")


def _short(entries: Sequence[Entry], suffix: str) -> bytes:
    from tackside.report.pages.short import render_short, render_short_pdf

    if len(entries) != 1:
        raise BadRequest("--short answers on one trial", "name one, or leave out --short")
    return render_short_pdf(entries[0]) if suffix == ".pdf" else render_short(entries[0]).encode("utf-8")


def _write_catalogue(
    folder: Path, title: str | None, licence: str | None, *, pictures: bool, data: bool
) -> Outcome:
    from tackside.report.pages.catalogue import catalogue

    bench = Bench.open(bench_folder(), create=False)
    judged = dict.fromkeys(verdict.trial for verdict in bench.verdicts.list() if verdict.trial)
    entries = [entry_of(bench, trial) for trial in judged]
    extras = extras_of(bench, entries, licence, pictures=pictures, data=data)
    newest = max((entry.verdict.made_at for entry in entries), default=datetime.now(UTC))
    made = catalogue(bench.stocks.list(), entries, made_at=newest, title=title, extras=extras)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, folder, "write") from error
    for name, content in sorted(made.items(), key=lambda item: item[0] == "index.html"):  # the index last
        write_atomically(folder / name, content)
    document = {"file": str(folder / "index.html"), "files": sorted(made), "trials": list(judged)}
    return Outcome(document, f"The catalogue begins at {folder / 'index.html'}.")
