"""``tackside stock``: add, list and show card stocks."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter
from rich.console import RenderableType

from tackside.bench.repositories.catalogue import StandingTrial
from tackside.bench.repositories.revisions import Revision
from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERTIP
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.records import Crease, Pack, Stock
from tackside.records.money import price_a_sheet

app = App(
    name="stock",
    help="Keep card stocks: new, add, list, show, find the side, export, import.",
    result_action="return_value",
)
for _name, _what in (
    ("export", "Write everything known about a stock into one archive."),
    ("import", "Import such an archive."),
    ("schema", "Print the JSON Schema of such an archive."),
):
    _target = {"import": "import_"}.get(_name, _name)
    app.command(f"tackside.cli.commands.stocks.stock_exchange:{_target}", name=_name, help=_what)

app.command(
    "tackside.cli.commands.stocks.stock_side:side",
    name="side",
    help="Name the side of a card that takes ink.",
    help_epilogue=str(DAMP_FINGERTIP),
)

app.command(
    "tackside.cli.commands.stocks.describe:new_stock",
    name="new",
    help="Describe a card stock: asks what is needed, or takes the answers as options.",
    help_epilogue=str(DAMP_FINGERTIP),
)

COATED = {
    "front": "front",
    "back": "back",
    "both": "both sides",
    "none": "neither side",
    "unknown": "not known which side",
}
FOUND_BY = {
    "damp-fingertip": "by a damp fingertip",
    "maker": "on the maker's word",
    "two-sided-trial": "by a trial of both sides",
    "not-checked": "not checked",
}


@app.command
def add(
    *files: Annotated[
        Path, Parameter(name="FILE", help="The stock's TOML file; several are kept one by one.")
    ],
    yes: Annotated[
        bool, Parameter(negative=(), help="Keep figures that look like a slip without asking.")
    ] = False,
) -> Outcome:
    """Keep stocks from their TOML files. A changed file of the same name becomes a new revision.

    Figures that look like one of the usual slips, such as centimetres for millimetres, are asked about at the
    terminal; a script, or somebody who keeps several files at once, is told on standard error, and they are kept.
    """
    from tackside.cli.commands.stocks.adding import added
    from tackside.workflow.stocks.records import add_stock, stock_of

    return added("stock", stock_of, add_stock, files, yes=yes)


@app.command(name="list")
def list_() -> Outcome:
    """List all stocks, the newest revision of each, with the verdict that stands for each side.

    For a side that is the latest trial with a verdict that stands: not the best grade ever seen.
    """
    bench = Bench.open(bench_folder(), create=False)
    stocks, standing = bench.stocks.list(), bench.catalogue.standing()
    headings = ("stock", "base", "weight", "caliper", "coated", "open sheet")
    rows = [
        (
            stock.name,
            stock.base,
            facts.figure(stock.weight_gsm, "g/m²") or "–",
            facts.figure(stock.caliper_mm, "mm") or "–",
            COATED[stock.coated],
            facts.size(stock.open_size_mm),
            *([", ".join(map(_verdict, standing.get(stock.name, ()))) or "–"] if standing else []),
        )
        for stock in stocks
    ]
    text = (
        facts.listing((*headings, *(["verdict"] if standing else [])), rows)
        if rows
        else "No stock yet. Describe one: tackside stock new"
    )
    listed = [
        {
            **stock.model_dump(mode="json"),
            "standing": [
                {"side": each.side, "trial": each.id, "grade": each.grade, "cause": each.cause}
                for each in standing.get(stock.name, ())
            ],
        }
        for stock in stocks
    ]
    return Outcome({"stocks": listed}, text)


def _verdict(each: StandingTrial) -> str:
    return each.grade if each.side == "front" else f"{each.side}: {each.grade}"


@app.command
def show(
    name: Annotated[str, Parameter(help="Name of the stock.")],
    *,
    revision: Annotated[int | None, Parameter(help="An earlier revision; by default the newest.")] = None,
) -> Outcome:
    """Show a stock and its revisions."""
    stocks = Bench.open(bench_folder(), create=False).stocks
    found, history = stocks.kept(name, revision), stocks.history(name)
    return Outcome(document(found, history), text(found, history))


def document(found: Revision[Stock], history: tuple[Revision[Stock], ...]) -> dict[str, Any]:
    return {
        **found.record.model_dump(mode="json"),
        "revision": found.number,
        "kept_at": found.kept_at.isoformat(),
        "source_sha256": found.source_sha256,
        "version": found.version,
        "revisions": [{"revision": each.number, "kept_at": each.kept_at.isoformat()} for each in history],
    }


def text(found: Revision[Stock], history: tuple[Revision[Stock], ...]) -> RenderableType:
    stock = found.record
    rows = facts.facts(
        [
            ("Base", None if stock.base == "unknown" else stock.base),
            ("Surface", None if stock.surface == "unknown" else stock.surface),
            ("Weight", facts.figure(stock.weight_gsm, "g/m²")),
            ("Caliper", facts.figure(stock.caliper_mm, "mm")),
            ("Coated", f"{COATED[stock.coated]} ({FOUND_BY[stock.coated_found_by]})"),
            ("Open sheet", facts.size(stock.open_size_mm)),
            ("Crease", "; ".join(map(_crease, stock.creases)) or "none"),
            ("Pack", _pack(stock.pack)),
            ("On hand", None if stock.sheets_on_hand is None else f"{stock.sheets_on_hand} sheets"),
            ("Sold for inkjet", facts.yes_or_no(stock.sold_for_inkjet)),
            *([("Notes", stock.notes)] if stock.notes else []),
            ("Revision", f"{found.number} of {len(history)}, kept {facts.day(found.kept_at)}"),
        ]
    )
    return facts.page(stock.name, rows)


def _crease(crease: Crease) -> str:
    edge = "top" if crease.direction == "horizontal" else "left"
    return f"{crease.direction}, {crease.at_mm:g} mm from the {edge}"


def _pack(pack: Pack | None) -> str | None:
    if pack is None:
        return None
    each = price_a_sheet(pack)
    if each is None:
        return f"{pack.count} sheets"
    return f"{pack.count} sheets for {pack.price} {pack.currency}, {each} a sheet"
