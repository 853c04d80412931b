"""``tackside card``: a card file to begin with, and the print-ready sheet of a card or of a whole list."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.card.file.design import TEMPLATES, template
from tackside.card.make import CardSheet
from tackside.cautions import PRINTING, PRINTING_AND_CUTTING, SMALL_PARTS, as_text
from tackside.cli.confirm import agree
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.cli.spreading import HERE, Spreading
from tackside.cli.views import facts
from tackside.cli.views.card_output import (
    ListOptions,
    OutputOptions,
    boxes_document,
    placement_document,
    placement_facts,
    printed_on,
)
from tackside.errors import BadRequest
from tackside.files.atomic import write_text
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.workflow.cards.make import (
    MadeSeries,
    make_card,
    make_one_file,
    make_series,
    quoted,
    words_of_template,
)

app = App(name="card", help="Make the print-ready sheet of a card.", help_format="plaintext")
app.command(
    "tackside.cli.commands.cards.card_preview:preview",
    name="preview",
    help="Draw a card before it is printed.",
)
app.command(
    "tackside.cli.commands.cards.card_second_side:second_side",
    name="second-side",
    help="Find out how the printer turns the sheet for its second side, and remember it.",
    help_epilogue=as_text(PRINTING),
)
app.command(
    "tackside.cli.commands.cards.card_send:send",
    name="send",
    help="Send a card to a printer that speaks IPP, and follow it to the end.",
    help_epilogue=as_text(PRINTING),
)
AS_THE_CARD_SAYS = OutputOptions()
SINGLE_FILES = ListOptions()


@app.command(help_epilogue=as_text(PRINTING_AND_CUTTING))
def make(
    file: Annotated[Path, Parameter(help="The card file (TOML): stock, printer, pictures, texts.")],
    *,
    out: Annotated[Path, Parameter(help="The file to write: FILE.pdf, FILE.tif or FILE.jpg.")],
    csv: Annotated[
        Path | None, Parameter(help="A list (CSV): one card for each row, its {names} filled.")
    ] = None,
    of_list: ListOptions = SINGLE_FILES,
    options: OutputOptions = AS_THE_CARD_SAYS,
    spreading: Spreading | None = None,
    force: Force = False,
    yes: Annotated[
        bool, Parameter(negative=(), help="Print a template's own words without asking, for scripts.")
    ] = False,
) -> Outcome:
    """Make the open sheet of a card at true size, as PDF, TIFF or JPEG.

    The outside is written to --out. The inside panels become a second page of the PDF, or a second image named
    NAME-inside.tif. The outside lies on the coated side of the stock, unless the card file says otherwise.

    With --csv each row makes a file named after it: NAME-001-Ann.pdf, NAME-002-Bob.pdf … Run again, it makes only what
    is missing or has changed. With --one-file all rows make one PDF, its pages bookmarked by name.
    """
    of_list.refuse_nonsense(csv, spread=spreading is not None)
    if spreading is not None:
        spreading.refuse_nonsense()
        if csv is None:
            raise BadRequest("card.no-list-to-spread")
    bench = Bench.open(bench_folder(), create=False)
    sample = words_of_template(file)
    if sample and sys.stdin.isatty():
        agree(
            Message("card-remark.sample-words", words=quoted(sample)),
            yes=yes,
            ask=Message("card-remark.type-yes"),
        )
    output = options.output(bench, file, on_stderr())
    if csv is None:
        made = make_card(bench, file, out, output, corrected=options.as_measured, force=force)
        text = _text(made.sheet, made.card.stock, made.card.printer)
        return Outcome(_document(made.sheet), text, cautions=_cautions(made.sheet))
    where = spreading or HERE
    common: dict[str, Any] = {
        "named_by": of_list.named_by, "corrected": options.as_measured, "force": force, "progress": on_stderr(),
    }  # fmt: skip
    if of_list.one_file:
        series = make_one_file(bench, file, csv, out, output, faces_apart=of_list.faces_apart, **common)
    else:
        series = make_series(
            bench, file, csv, out, output, workers=where.workers, cluster=where.cluster, **common
        )
    return Outcome(
        _document_of_series(series),
        _text_of_series(series),
        cautions=_cautions(series.rows[0].sheet),
    )


@app.command
def new(
    name: Annotated[
        str,
        Parameter(help=f"The template: {'; '.join(f'{key}, {says}' for key, says in TEMPLATES.items())}."),
    ],
    /,
    *,
    out: Annotated[Path, Parameter(help="The card file to write, FILE.toml.")],
    stock: Annotated[str, Parameter(help="The stock's name on the bench.")] = "your stock's name",
    printer: Annotated[str, Parameter(help="The printer's name on the bench.")] = "your printer's name",
) -> Outcome:
    """Start a card from a template: a card file to fill with your picture and words."""
    text = template(name, stock, printer)
    if out.exists():
        raise BadRequest("card.there-already", file=str(out))
    write_text(out, text)
    document = {"file": str(out), "template": name}
    next_step = f"Look through it, put your picture beside it, then: tackside card make {out} --out card.pdf"
    return Outcome(document, facts.page(f"{out}: {TEMPLATES[name]}", next_step))


def _cautions(made: CardSheet) -> tuple[Message, ...]:
    """On printing, on cutting where the card is cut out of its sheet, and on what may be stuck on it."""
    return PRINTING_AND_CUTTING if _is_cut(made) else (*PRINTING, SMALL_PARTS)


def _is_cut(made: CardSheet) -> bool:
    trim = made.faces[0].trim
    return (trim.w, trim.h) != made.faces[0].fit.size_mm


def _document(made: CardSheet) -> dict[str, Any]:
    return {
        "files": _files(made),
        "faces": {name: str(path) for name, path in made.files.items()},
        "printed_on": made.printed_on,
        "boxes_mm": boxes_document(made.faces),
        "placement": placement_document(made),
        "warnings": documents(made.warnings),
    }


def _document_of_series(series: MadeSeries) -> dict[str, Any]:
    """``boxes_mm`` and ``faces`` are those of the first row's card; ``rows`` tells each row's files."""
    rows = series.rows
    return {
        **_document(rows[0].sheet),
        "files": list(dict.fromkeys(file for each in rows for file in _files(each.sheet))),
        "warnings": documents(_warnings(series)),
        "rows": [
            {
                "row": each.row.number,
                "name": each.name,
                "values": each.row.values,
                "files": _files(each.sheet),
            }
            for each in rows
        ],
    }


def _files(made: CardSheet) -> list[str]:
    return list(dict.fromkeys(str(path) for path in made.files.values()))


def _warnings(series: MadeSeries) -> list[Message]:
    """What all rows have in common once, the rest with its row."""
    rows = series.rows
    first, *others = (dict.fromkeys(each.sheet.warnings) for each in rows)
    shared = [warning for warning in first if all(warning in each for each in others)]
    own = [
        Message("card-rows.of-row", row=each.row.number, warning=warning)
        for each in rows
        for warning in each.sheet.warnings
        if warning not in shared
    ]
    return [*series.notices, *shared, *own]


def _text(made: CardSheet, stock: str, printer: str) -> RenderableType:
    rows: list[tuple[str, str]] = [
        (name.capitalize(), f"{path}{_page(made, name)}") for name, path in made.files.items()
    ]
    rows += _facts(made)
    return _page_of(f"A card on {stock}, for {printer}", rows, made.warnings)


def _text_of_series(series: MadeSeries) -> RenderableType:
    made, card = series.rows, series.card
    rows = [("Cards", str(len(made)))]
    first, last = (", ".join(_files(made[place].sheet)) for place in (0, -1))
    rows += [("File", first)] if first == last else [("First", first), ("Last", last)]
    rows += _facts(made[0].sheet)
    return _page_of(f"A run of cards on {card.stock}, for {card.printer}", rows, _warnings(series))


def _facts(made: CardSheet) -> list[tuple[str, str]]:
    width, height = made.faces[0].fit.size_mm
    trim = made.faces[0].trim
    rows = [("Page size", f"{width:g} × {height:g} mm; print at 100 %, no scaling to fit")]
    rows.append(("Printed on", printed_on(made)))
    rows += placement_facts(made)
    if _is_cut(made):
        rows.append(("Cut to", f"{trim.w:g} × {trim.h:g} mm, out of the middle of the sheet"))
    rows += [
        (f"On the {placed.asked.panel}", f"{placed.asked.file}, {placed.ppi:.0f} pixels an inch")
        for each in made.faces
        for placed in each.pictures
    ]
    return rows


def _page_of(title: str, rows: list[tuple[str, str]], warnings: Sequence[Message]) -> RenderableType:
    parts: list[RenderableType] = [facts.facts(rows)]
    if warnings:
        parts += ["", facts.sentences(dict.fromkeys(map(str, warnings)), "!", "bold yellow")]
    return facts.page(title, *parts)


def _page(made: CardSheet, name: str) -> str:
    shared = list(made.files.values()).count(made.files[name]) > 1
    return f", page {list(made.files).index(name) + 1}" if shared else ""
