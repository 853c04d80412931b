"""``tackside printer``: add, list and show printers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from tackside.bench.repositories.revisions import Revision
from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.messages.wording import documents
from tackside.records import Feed, Inks, Margins, Printer

app = App(
    name="printer", help="Keep printers: new, add, list, show, find, ask.", result_action="return_value"
)


app.command(
    "tackside.cli.commands.stocks.describe:new_printer",
    name="new",
    help="Describe a printer: asks what is needed, or takes the answers as options.",
)


@app.command
def add(
    *files: Annotated[
        Path, Parameter(name="FILE", help="The printer's TOML file; several are kept one by one.")
    ],
    yes: Annotated[
        bool, Parameter(negative=(), help="Keep figures that look like a slip without asking.")
    ] = False,
) -> Outcome:
    """Keep printers from their TOML files. A changed file of the same name becomes a new revision."""
    from tackside.cli.commands.stocks.adding import added
    from tackside.workflow.stocks.records import add_printer, printer_of

    return added("printer", printer_of, add_printer, files, yes=yes)


@app.command(name="list")
def list_() -> Outcome:
    """List all printers, the newest revision of each."""
    printers = Bench.open(bench_folder(), create=False).printers.list()
    rows = [
        (
            printer.name,
            _inks(printer.inks) or "–",
            f"{printer.grid_ppi:g} ppi",
            ", ".join(feed.name for feed in printer.feeds),
        )
        for printer in printers
    ]
    text = (
        facts.listing(("printer", "inks", "grid", "feeds"), rows)
        if rows
        else "No printer yet. Describe one: tackside printer new"
    )
    return Outcome({"printers": [printer.model_dump(mode="json") for printer in printers]}, text)


@app.command
def show(
    name: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    revision: Annotated[int | None, Parameter(help="An earlier revision; by default the newest.")] = None,
) -> Outcome:
    """Show a printer, its feeds and its revisions."""
    printers = Bench.open(bench_folder(), create=False).printers
    found, history = printers.kept(name, revision), printers.history(name)
    return Outcome(document(found, history), text(found, history))


@app.command
def ask(
    address: Annotated[str, Parameter(help="The printer's address, as ipp://printer.local/ipp/print.")],
    *,
    name: Annotated[
        str | None, Parameter(help="Its name on the bench; by default the name it reports.")
    ] = None,
) -> Outcome:
    """Ask a printer on the network what it can do (IPP), and keep its record.

    What you noted before and printers never report, such as the thickest card, is kept.
    """
    from tackside.workflow.stocks.ask_printer import ask_and_keep

    asked = ask_and_keep(lambda: Bench.open(bench_folder()), address, name)
    found, told, history = asked.kept, asked.told, asked.history
    shown = Group(text(found, history), Padding(facts.sentences(asked.gaps, "!", "bold yellow"), (0, 2)), "")
    told_all = {
        **document(found, history),
        "new": asked.is_new,
        "gaps": documents(asked.gaps),
        "formats": list(told.formats),
        "media_types": list(told.types),
        "accepts_jobs": told.accepts_jobs,
    }
    return Outcome(told_all, shown)


@app.command
def find(
    *,
    seconds: Annotated[float, Parameter(help="How long to listen.")] = 3.0,
) -> Outcome:
    """Look for printers on your network that announce themselves (DNS-SD)."""
    from tackside.workflow.stocks.ask_printer import printers_around

    found = printers_around(seconds)
    shown = (
        facts.listing(("name", "address", "model"), [(each.name, each.uri, each.model) for each in found])
        if found
        else "No printer announces itself. Is it on, and on the same network? Else: tackside printer ask ADDRESS"
    )
    return Outcome(
        {"printers": [{"name": each.name, "uri": each.uri, "model": each.model} for each in found]}, shown
    )


def document(found: Revision[Printer], history: tuple[Revision[Printer], ...]) -> dict[str, Any]:
    return {
        **found.record.model_dump(mode="json"),
        "revision": found.number,
        "kept_at": found.kept_at.isoformat(),
        "source_sha256": found.source_sha256,
        "version": found.version,
        "revisions": [{"revision": each.number, "kept_at": each.kept_at.isoformat()} for each in history],
    }


def text(found: Revision[Printer], history: tuple[Revision[Printer], ...]) -> RenderableType:
    printer = found.record
    rows = facts.facts(
        [
            ("Inks", _inks(printer.inks)),
            ("Native grid", f"{printer.grid_ppi:g} ppi"),
            ("Media settings", ", ".join(printer.media_settings) or None),
            *([("Notes", printer.notes)] if printer.notes else []),
            ("Revision", f"{found.number} of {len(history)}, kept {facts.day(found.kept_at)}"),
        ]
    )
    parts: list[RenderableType] = [rows]
    for feed in printer.feeds:
        parts += ["", Text(f"Feed {feed.name}", style="bold"), _feed(feed)]
    return facts.page(printer.name, *parts)


def _inks(inks: Inks) -> str | None:
    kind = None if inks.kind == "unknown" else inks.kind
    return " ".join(filter(None, (str(inks.count) if inks.count else None, kind))) or None


def _feed(feed: Feed) -> RenderableType:
    enlarged = facts.figure(feed.borderless_enlargement_mm, "mm an edge")
    borderless = "; ".join(facts.size(size) for size in feed.borderless_sizes_mm)
    return facts.facts(
        [
            ("Sizes", f"{facts.size(feed.min_size_mm)} to {facts.size(feed.max_size_mm)}"),
            ("Caliper", facts.figure(feed.max_caliper_mm, "mm at most")),
            ("Weight", facts.figure(feed.max_weight_gsm, "g/m² at most")),
            ("Margins", _margins(feed.margins_mm)),
            ("Borderless", borderless or "no size listed"),
            *([("Enlargement", enlarged)] if borderless else []),
        ]
    )


def _margins(margins: Margins | None) -> str | None:
    if margins is None:
        return None
    return (
        f"top {margins.top:g}, bottom {margins.bottom:g}, left {margins.left:g}, right {margins.right:g} mm"
    )
