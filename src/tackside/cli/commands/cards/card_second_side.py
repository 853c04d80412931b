"""``tackside card second-side``: how a printer turns the sheet for its second side, found out once and remembered."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import PRINTING
from tackside.cli.session import Force, Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.files.atomic import require_free

A4_MM = (210.0, 297.0)  # ISO 216
MEANING = {
    2: "turned over sideways: second pages are laid out that way already",
    4: "turned head over foot: second pages are given half a turn",
}


def second_side(
    printer: Annotated[str, Parameter(help="The printer's name on the bench.")],
    /,
    *,
    out: Annotated[
        Path | None, Parameter(help="Write the guide: FILE.pdf, two pages for plain paper.")
    ] = None,
    behind: Annotated[
        Literal[1, 2, 3, 4] | None, Parameter(help="The answer: the number on the other side of the A.")
    ] = None,
    feed: Annotated[
        str | None, Parameter(help="The feed; by default the first that takes the paper.")
    ] = None,
    size_mm: Annotated[tuple[float, float], Parameter(help="Width and height of the paper, as fed.")] = A4_MM,
    force: Force = False,
) -> Outcome:
    """Find out how the printer turns the sheet for its second side, and remember it.

    Write the guide with --out and print both pages on plain paper, the way you always do. Then give the number
    behind the A with --behind. From then on inside pages for this printer and feed come out the right way up.
    """
    from tackside.workflow.cards import second_side as job

    if out is not None and behind is not None:
        raise BadRequest("card.guide-or-answer")
    if out is not None and out.suffix.lower() != ".pdf":
        raise BadRequest("card.guide-not-pdf", file=out.name)
    require_free(out, force=force)
    bench = Bench.open(bench_folder(), create=False)
    if out is not None:
        job.write_second_side_guide(bench, printer, feed, size_mm, out)
    elif behind is not None:
        job.answer_second_side(bench, printer, feed, size_mm, behind)
    found = job.known_second_side(bench, printer, feed, size_mm)
    answer = found.answer
    document = {
        "printer": found.printer.name,
        "feed": found.feed,
        "file": None if out is None else str(out),
        "behind": None if answer is None else answer.corner,
        "half_turned": None if answer is None else answer.half_turned,
    }
    known = "not known yet" if answer is None else MEANING[answer.corner]
    rows = [("Feed", found.feed), ("Second side", known)]
    if out is not None:
        rows.append(("Guide", f"{out}; print both pages at 100 % on plain paper, then answer with --behind"))
    text = facts.page(f"The second side on {found.printer.name}", facts.facts(rows))
    return Outcome(document, text, cautions=PRINTING)
