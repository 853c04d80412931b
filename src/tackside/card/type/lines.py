"""A paragraph into lines: broken where Unicode allows it (UAX #14), as full as the room takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tackside.card.type.shaping import Paragraph, TextRun


@dataclass(frozen=True)
class ShapedLine:
    """One line of a paragraph. ``width`` in ems, without the spaces at its end; ``last`` of its paragraph."""

    text: str
    runs: tuple[TextRun, ...]
    width: float
    from_right: bool
    last: bool


def broken(paragraph: Paragraph, room: float) -> tuple[ShapedLine, ...]:
    """The paragraph's lines, each as long as ``room`` ems take. What cannot be broken stands out of it."""
    text = paragraph.text
    if not text:
        return (ShapedLine("", (), 0.0, bool(paragraph.base), last=True),)
    whole = _shaped(paragraph, 0, len(text))
    if whole.width <= room:  # as most do: where it might be broken need not be found out
        return (whole,)
    lines: list[ShapedLine] = []
    chances = _chances(text)
    first = 0  # of the chances that lie ahead
    start = 0
    while first < len(chances):
        line, last = _fullest(paragraph, start, chances, first, room)
        lines.append(line)
        start, first = chances[last], last + 1
    return tuple(lines)


def _fullest(
    paragraph: Paragraph, start: int, chances: tuple[int, ...], first: int, room: float
) -> tuple[ShapedLine, int]:
    """The longest line from ``start`` that fits, or the shortest there is, and at which chance it ends.

    Found in leaps that double, then by halves: a longer line is a wider one.
    """
    fitting, line = first, _shaped(paragraph, start, chances[first])
    beyond = len(chances)
    leap = 1
    while fitting + 1 < beyond:
        tried = min(fitting + leap, beyond - 1)
        longer = _shaped(paragraph, start, chances[tried])
        if longer.width <= room:
            fitting, line = tried, longer
            leap = leap * 2 if beyond == len(chances) else max((beyond - fitting) // 2, 1)
        else:
            beyond = tried
            leap = max((beyond - fitting) // 2, 1)
    return line, fitting


@lru_cache(maxsize=512)
def _chances(text: str) -> tuple[int, ...]:
    """Where a line may end, the end of the text among them. The rows of a run share most of their texts."""
    from uniseg.linebreak import (  # type: ignore[import-untyped]  # kept off the start-up path
        line_break_boundaries,
    )

    found = tuple(line_break_boundaries(text))
    return found if found and found[-1] == len(text) else (*found, len(text))


def _shaped(paragraph: Paragraph, start: int, end: int) -> ShapedLine:
    stop = end
    while stop > start and paragraph.text[stop - 1] == " ":
        stop -= 1
    runs = paragraph.shaped(start, stop)
    return ShapedLine(
        paragraph.text[start:stop],
        runs,
        sum(run.width for run in runs),
        bool(paragraph.base),
        last=end == len(paragraph.text),
    )
