"""``tackside card preview``: the card before it is printed, drawn for a screen."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.card.file.load import load_card
from tackside.card.known_path import print_path
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest


def preview(
    file: Annotated[Path, Parameter(help="The card file (TOML).")],
    *,
    out: Annotated[Path, Parameter(help="The picture to write: FILE.png.")],
    folded: Annotated[
        bool, Parameter(negative=(), help="The finished card instead: front, inside and back, upright.")
    ] = False,
) -> Outcome:
    """Draw a card before it is printed.

    Each face as it is fed, with panels, creases and the way they fold, the printer's margins and the safe zone;
    with --folded the finished card as it is held.
    """
    from tackside.card.make import lay_out_for
    from tackside.card.views.show import save_preview

    if out.suffix.lower() != ".png":
        raise BadRequest(f"{out.name} is no PNG", "end the name of --out in .png")
    card = load_card(file)
    bench = Bench.open(bench_folder(), create=False)
    stock, printer = bench.stocks.get(card.stock), bench.printers.get(card.printer)
    path = print_path(bench, stock, printer, corrected=True)
    laid = lay_out_for(card, stock, printer, path=path)
    save_preview(card, laid, stock, out, folded=folded)
    document = {"file": str(out), "warnings": list(laid.warnings)}
    said = "the finished card, as it is held" if folded else "the sheet, as it is fed"
    parts: list[RenderableType] = []
    if laid.warnings:
        parts = ["", facts.sentences(laid.warnings, "!", "bold yellow")]
    return Outcome(document, facts.page(f"{out}: {said}", *parts))
