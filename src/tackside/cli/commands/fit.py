"""``tackside fit``: what a printer can do with a stock."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from cyclopts import Parameter
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli import facts
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.sheet_diagram import sheet_diagram
from tackside.fit import Envelope, Fit, fit_stock


def fit(
    stock: Annotated[str, Parameter(help="Name of the stock.")],
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    feed: Annotated[str | None, Parameter(help="Hold it against this feed only.")] = None,
    side: Annotated[Literal["front", "back"], Parameter(help="The side of the card to print.")] = "front",
) -> Outcome:
    """Say what a printer can do with a stock: feed, reach, panels, page size, envelope, warnings."""
    bench = Bench.open(bench_folder(), create=False)
    found = fit_stock(bench.stocks.get(stock), bench.printers.get(printer), feed, side)
    return Outcome(document(found), text(found))


def document(found: Fit) -> dict[str, Any]:
    """The fit as plain data; ``envelope`` is the first choice of ``envelopes``, or None."""
    data = found.model_dump(mode="json")
    return {**data, "envelope": data["envelopes"][0] if data["envelopes"] else None}


def text(found: Fit) -> RenderableType:
    """The fit for people: the sheet beside its facts, then what to mind."""
    rows = facts.facts(
        [
            ("Feed", found.feed or Text("none takes it", style="bold red")),
            ("Open sheet", _named(facts.size(found.size_mm), found.size_name)),
            ("Page size", f"custom, {found.custom_size}" if found.custom_size else found.size_name),
            ("Print reaches", _reach(found)),
            ("Folded card", _named(facts.size(found.folded_size_mm), found.folded_size_name)),
            ("Thickness", facts.figure(found.thickness_mm, "mm when folded")),
            ("Envelope", _envelopes(found.envelopes)),
        ]
    )
    parts: list[RenderableType] = [_beside(sheet_diagram(found), rows), ""]
    if found.warnings:
        parts += [facts.sentences(found.warnings, "!", "bold yellow"), ""]
    parts.append(facts.sentences(found.notes, "·", "dim"))
    return facts.page(f"{found.stock} on {found.printer}", *parts)


def _beside(left: RenderableType, right: RenderableType) -> Table:
    table = Table.grid(padding=(0, 3), expand=False)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1, vertical="middle")
    table.add_row(left, right)
    return table


def _named(words: str, name: str | None) -> str:
    return f"{words}, {name}" if name else words


def _reach(found: Fit) -> str:
    if found.borderless:
        grows = (
            "by an unknown amount" if found.enlargement_mm is None else f"{found.enlargement_mm:g} mm an edge"
        )
        return f"every edge (borderless, the image grows {grows})"
    margins = found.margins_mm
    assumed = ", a safe guess" if found.margins_assumed else ""
    return (
        f"all but {margins.top:g} mm at the top, {margins.bottom:g} mm at the bottom, {margins.left:g} mm "
        f"left, {margins.right:g} mm right{assumed}"
    )


def _envelopes(envelopes: tuple[Envelope, ...]) -> RenderableType:
    if not envelopes:
        return "none of the common ones"
    lines: list[RenderableType] = []
    for envelope in envelopes:
        lines.append(Text(f"{envelope.name}, {facts.size(envelope.size_mm)}"))
        if envelope.remark:
            lines.append(Padding(Text(envelope.remark, style="dim"), (0, 0, 0, 2)))
    return Group(*lines)
