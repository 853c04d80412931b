"""``tackside card second-side``: how a printer turns the sheet for its second side, found out once and remembered."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.repositories.second_sides import keep_second_side, second_side_of
from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest

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
) -> Outcome:
    """Find out how the sheet comes to lie for its second side, and remember it.

    Write the guide with --out and print both pages on plain paper, the way you always do. Then tell the number that
    lies behind the A with --behind. From then on inside pages for this printer and feed come out the right way up.
    """
    from tackside.card.views.turn_guide import guide, write_guide

    bench = Bench.open(bench_folder(), create=False)
    record = bench.printers.get(printer)
    laid = guide(record, feed, size_mm)
    if out is not None and behind is not None:
        raise BadRequest("--out writes the guide and --behind answers it", "do one, then the other")
    if behind in (1, 3):
        raise BadRequest(
            f"the {behind} is on the A's own side, so the sheet was not turned over",
            "print page one, put the sheet in with its other side up, print page two, and look again",
        )
    if out is not None:
        if out.suffix.lower() != ".pdf":
            raise BadRequest(f"{out.name} is no PDF", "end the name of --out in .pdf")
        write_guide(laid, record, out)
    elif behind is not None:
        keep_second_side(bench.folder, record.name, laid.feed, behind)
    answer = second_side_of(bench.folder, record.name, laid.feed)
    document = {
        "printer": record.name,
        "feed": laid.feed,
        "file": None if out is None else str(out),
        "behind": None if answer is None else answer.corner,
        "half_turned": None if answer is None else answer.half_turned,
    }
    known = "not known yet" if answer is None else MEANING[answer.corner]
    rows = [("Feed", laid.feed), ("Second side", known)]
    if out is not None:
        rows.append(("Guide", f"{out}; print both pages at 100 % on plain paper, then answer with --behind"))
    text = facts.page(f"The second side on {record.name}", facts.facts(rows))
    return Outcome(document, text, cautions=(HEAD_STRIKE, DAMP_FINGERS))
