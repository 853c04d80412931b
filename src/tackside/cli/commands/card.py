"""``tackside card make``: the print-ready sheet of a card."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.card import CardSheet, boxes_mm, load_card, make_card
from tackside.cli import facts
from tackside.cli.session import Outcome, bench_folder

app = App(name="card", help="Make the print-ready sheet of a card.", help_format="plaintext")


@app.command
def make(
    file: Annotated[Path, Parameter(help="The card file (TOML): stock, printer, pictures, texts.")],
    *,
    out: Annotated[Path, Parameter(help="The file to write: FILE.pdf or FILE.tif.")],
) -> Outcome:
    """Make the open sheet of a card at true size, as PDF or TIFF.

    The outside is written to --out. What stands on inside panels becomes a second page of the PDF, or a
    second TIFF named NAME-inside.tif.
    """
    card = load_card(file)
    bench = Bench.open(bench_folder(), create=False)
    made = make_card(card, bench.stocks.get(card.stock), bench.printers.get(card.printer), out)
    files = list(dict.fromkeys(str(path) for path in made.files.values()))
    document = {
        "files": files,
        "faces": {name: str(path) for name, path in made.files.items()},
        "boxes_mm": boxes_mm(made.faces),
        "warnings": list(made.warnings),
    }
    return Outcome(document, _text(made, card.stock, card.printer))


def _text(made: CardSheet, stock: str, printer: str) -> RenderableType:
    face = made.faces[0]
    width, height = face.fit.size_mm
    rows: list[tuple[str, str]] = [
        (name.capitalize(), f"{path}{_page(made, name)}") for name, path in made.files.items()
    ]
    rows.append(("Page size", f"{width:g} × {height:g} mm; print at 100 %, no scaling to fit"))
    rows += [
        (f"On the {placed.asked.panel}", f"{placed.asked.file}, {placed.ppi:.0f} pixels an inch")
        for each in made.faces
        for placed in each.pictures
    ]
    parts: list[RenderableType] = [facts.facts(rows)]
    if made.warnings:
        parts += ["", facts.sentences(made.warnings, "!", "bold yellow")]
    return facts.page(f"A card on {stock}, for {printer}", *parts)


def _page(made: CardSheet, name: str) -> str:
    shared = list(made.files.values()).count(made.files[name]) > 1
    return f", page {list(made.files).index(name) + 1}" if shared else ""
