"""``tackside report``: the comparison of trials, a short answer on one, or a site of all cards, ready to publish."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Force, Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.files.atomic import require_free, write_atomically
from tackside.workflow.report import HTML, INDEX, PDF, ReportWishes, report_on, short_answer_on, write_site


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
    force: Force = False,
) -> Outcome:
    """Write a comparison of trials: the answer first, then cards, figures, prints, settings, method.

    HTML is one self-contained page; PDF is set for A4. Check the pictures and notes before you publish: they are
    included unchanged.
    """
    wishes = ReportWishes(title, note, licence, pictures, data)
    if catalogue is not None:
        if trials or out is not None or short:
            raise BadRequest("report.catalogue-and-more")
        return _write_catalogue(catalogue, wishes, force=force)
    if out is None:
        raise BadRequest("report.no-name")
    suffix = out.suffix.lower()
    if suffix not in (".html", ".htm", ".pdf"):
        raise BadRequest("report.other-ending", file=out.name)
    if not trials:
        raise BadRequest("report.no-trials")
    require_free(out, force=force)
    named = list(dict.fromkeys(trials))
    if short and len(named) != 1:
        raise BadRequest("report.short-on-several")
    bench, kind = Bench.open(bench_folder(), create=False), PDF if suffix == ".pdf" else HTML
    content = short_answer_on(bench, named[0], kind) if short else report_on(bench, named, kind, wishes)
    write_atomically(out, content)
    return Outcome(
        {"file": str(out), "trials": [bench.trials.get(each).id for each in named]}, f"The report is {out}."
    )


def _write_catalogue(folder: Path, wishes: ReportWishes, *, force: bool) -> Outcome:
    site = write_site(Bench.open(bench_folder(), create=False), folder, wishes, force=force)
    document = {"file": str(folder / INDEX), "files": list(site.files), "trials": list(site.trials)}
    return Outcome(document, f"The catalogue begins at {folder / INDEX}.")
