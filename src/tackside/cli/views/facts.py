"""How a record looks on the terminal: its facts in two columns, lengths in mm, moments in local time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.messages.message import Message

UNKNOWN = "not known"


def facts(rows: Iterable[tuple[str, RenderableType | None]]) -> Table:
    """Label and value, a line each; None is shown as not known."""
    table = Table.grid(padding=(0, 2))
    table.add_column(style="dim", no_wrap=True)
    table.add_column(ratio=1)
    for label, value in rows:
        known = Text(UNKNOWN, style="dim italic") if value is None else value
        table.add_row(label, Text(known) if isinstance(known, str) else known)
    return table


def page(title: str, *parts: RenderableType) -> Group:
    """A title with what belongs to it, indented."""
    return Group("", Text(f"  {title}", style="bold"), "", *(Padding(part, (0, 2)) for part in parts), "")


def listing(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    """A list of records, a line each."""
    table = Table(box=box.SIMPLE_HEAD, header_style="dim", pad_edge=True)
    for head in heads:
        table.add_column(head, overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def sentences(said: Iterable[str | Message], mark: str, style: str) -> Table:
    """Sentences below each other, each with a mark before it."""
    table = Table.grid(padding=(0, 1))
    table.add_column(style=style, no_wrap=True)
    table.add_column(ratio=1)
    for sentence in said:
        table.add_row(mark, Text(str(sentence)))
    return table


def size(size_mm: tuple[float, float]) -> str:
    return f"{size_mm[0]:.5g} × {size_mm[1]:.5g} mm"


def figure(value: float | None, unit: str) -> str | None:
    return None if value is None else f"{value:g} {unit}"


def day(moment: datetime) -> str:
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")


def yes_or_no(value: bool | None) -> str | None:
    return None if value is None else ("yes" if value else "no")
