"""The terminal that tables and paragraphs are printed to."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

from tackside.messages.wording import visible


class Terminal(Console):
    """A console on which no text of a record, a file or another person steers the terminal: see ``visible``."""

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        for each in super().render(renderable, options):
            if each.control or each.text.isprintable():
                yield each
            else:
                yield Segment(visible(each.text), each.style)
