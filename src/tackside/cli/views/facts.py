"""How a record looks on the terminal: its facts in two columns, lengths in mm, moments in local time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from rich import box
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.messages.message import Message

UNKNOWN = "not known"
# An answer has at most so many lines, unless everything is asked for.
MOST = 10
Row = tuple[str, str]
# Columns that hold ids: to be copied whole.
_IDS = frozenset({"trial", "run"})


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


def listing(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Listing:
    """A list of records, a line each; below each other where the window is too narrow for their words."""
    return Listing(heads, tuple(rows))


@dataclass(frozen=True)
class Listing:
    """A table whose words are never broken: where they do not fit side by side, each record is told in lines."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        columns = list(zip(self.heads, *self.rows, strict=True))
        words = (
            max((Text(word).cell_len for cell in column for word in cell.split()), default=0)
            for column in columns
        )
        if sum(words) + 3 * len(columns) > options.max_width and len(columns) > 2:
            yield from self._below_each_other()
            return
        table = Table(box=box.SIMPLE_HEAD, header_style="dim", pad_edge=True)
        for head in self.heads:
            table.add_column(head, overflow="fold", no_wrap=head in _IDS)
        for row in self.rows:
            table.add_row(*(Text(cell) for cell in row))
        yield table

    def _below_each_other(self) -> RenderResult:
        for row in self.rows:
            yield ""
            yield Text(f"  {row[0]}", style="bold")
            told = [
                (head, cell) for head, cell in zip(self.heads[1:], row[1:], strict=True) if cell.strip(" –")
            ]
            yield Padding(laid_out(told), (0, 2))
        yield ""


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


@dataclass(frozen=True)
class TenLines:
    """An answer: a title, what must be said, and as much of the rest as there is room for in ten lines.

    ``rows`` are always shown, label and words; of ``more`` those that fit whole, in their order; then ``hint``.

    Where ``rows`` leave no room for it, the hint is left out; where the window is so narrow that they alone are longer
    than ten lines, they are shown all the same.
    """

    title: Text
    rows: Sequence[Row]
    more: Sequence[Row]
    hint: str

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        shown = list(self.rows)
        last: Row = ("More", self.hint)
        for row in self.more:
            if _height([*shown, row, last], console, options) < MOST:
                shown.append(row)
        title = self.title.copy()
        title.truncate(options.max_width, overflow="ellipsis")
        yield title
        if _height([*shown, last], console, options) < MOST:
            shown.append(last)
        yield Padding(laid_out(shown), (0, 1))


def laid_out(rows: Sequence[Row]) -> Table:
    """Labels and words in two columns; words are broken at spaces alone, so that an id stays whole."""
    table = Table.grid(padding=(0, 1))
    table.add_column(no_wrap=True, style="dim")
    table.add_column(ratio=1)
    for label, words in rows:
        table.add_row(label, Text(words))
    return table


@dataclass(frozen=True)
class LineEach:
    """Records below each other, a line each whatever the width: the last cell gives way first, the first never.

    The cells before the last stand in columns, none of which takes more than a third of the window.
    """

    rows: Sequence[Sequence[str | Text]]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        most = max(options.max_width // 3, len(self.rows[0][0]) if self.rows else 0)
        cells = [[Text(cell) if isinstance(cell, str) else cell.copy() for cell in row] for row in self.rows]
        widths = [min(most, max(cell.cell_len for cell in column)) for column in zip(*cells, strict=True)]
        for row in cells:
            line = Text(" ")
            for cell, width in zip(row[:-1], widths, strict=False):
                cell.truncate(width, overflow="ellipsis")
                line.append_text(cell).append(" " * (width - cell.cell_len + 1))
            line.append_text(row[-1])
            line.truncate(options.max_width, overflow="ellipsis")
            line.no_wrap = True
            yield line


def _height(rows: Sequence[Row], console: Console, options: ConsoleOptions) -> int:
    return len(console.render_lines(Padding(laid_out(rows), (0, 1)), options, pad=False))
