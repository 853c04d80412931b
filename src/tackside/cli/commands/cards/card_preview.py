"""``tackside card preview``: the card before it is printed, drawn for a screen."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.cli.session import Force, Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.messages.wording import documents


def preview(
    file: Annotated[Path, Parameter(help="The card file (TOML).")],
    *,
    out: Annotated[Path, Parameter(help="The picture to write: FILE.png.")],
    folded: Annotated[
        bool, Parameter(negative=(), help="Draw the finished card instead: front, inside and back, upright.")
    ] = False,
    csv: Annotated[Path | None, Parameter(help="A list (CSV), to see the card of one of its rows.")] = None,
    row: Annotated[
        str | None, Parameter(help="Which row: its number or its name; by default the first.")
    ] = None,
    force: Force = False,
) -> Outcome:
    """Draw a card before it is printed.

    Each face as it is fed, with panels, creases and the way they fold, the printer's margins and the safe zone;
    with --folded the finished card as it is held.
    """
    from tackside.workflow.cards.make import draw_card

    if out.suffix.lower() != ".png":
        raise BadRequest("card.preview-not-png", file=out.name)
    if row is not None and csv is None:
        raise BadRequest("card-rows.row-without-list")
    bench = Bench.open(bench_folder(), create=False)
    laid = draw_card(bench, file, out, rows=csv, row=row, folded=folded, force=force)
    document = {"file": str(out), "warnings": documents(laid.warnings)}
    said = "the finished card, as it is held" if folded else "the sheet, as it is fed"
    parts: list[RenderableType] = []
    if laid.warnings:
        parts = ["", facts.sentences(dict.fromkeys(map(str, laid.warnings)), "!", "bold yellow")]
    return Outcome(document, facts.page(f"{out}: {said}", *parts))
