"""A paragraph into lines of glyphs: taken apart by direction, script and font, shaped by HarfBuzz, and broken where
Unicode allows it (UAX #14), each line as full as the room takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from tackside.card.type.bidi_levels import base_level, levels, line_levels, visual_order
from tackside.card.type.fonts import Fonts, Missing, is_silent
from tackside.card.type.typeface import Typeface

SOFT_HYPHEN, HYPHEN = "\u00ad", "\u2010"


@dataclass(frozen=True)
class Glyph:
    """A glyph by its number in the font; lengths in ems, x to the right and y upwards from the run's start.

    ``text`` is what the glyph stands for, from left to right, as a reader of PDFs takes it before it finds out what
    runs from the right: a bracket is the one that is seen. Of several glyphs for one cluster the first in the text's
    order has it.
    """

    gid: int
    x: float
    y: float
    advance: float
    text: str


@dataclass(frozen=True)
class TextRun:
    """Glyphs of one font in one direction, from left to right. ``text`` is in the order it is read."""

    font: Typeface
    text: str
    right_to_left: bool
    glyphs: tuple[Glyph, ...]

    @property
    def width(self) -> float:
        return sum(glyph.advance for glyph in self.glyphs)


@dataclass(frozen=True)
class Paragraph:
    """A paragraph with each character's level, script (ISO 15924) and font."""

    text: str
    base: int
    levels: tuple[int, ...]
    scripts: tuple[str, ...]
    fonts: tuple[Typeface, ...]
    language: str

    def shaped(self, start: int, end: int) -> tuple[TextRun, ...]:
        """The characters from ``start`` to ``end`` as a line of their own, its runs from left to right.

        A soft hyphen shows where it ends the line.
        """
        found = line_levels(self.text[start:end], self.levels[start:end], self.base)
        runs = list(self._runs(start, end, found))
        order = visual_order([level for _, _, level in runs])
        return tuple(self._run(*runs[place]) for place in order)

    def _runs(self, start: int, end: int, found: list[int]) -> Iterator[tuple[int, int, int]]:
        begin = start
        for at in range(start + 1, end + 1):
            if at < end and self._alike(at, begin, found, start):
                continue
            yield begin, at, found[begin - start]
            begin = at

    def _alike(self, at: int, begin: int, found: list[int], start: int) -> bool:
        return (
            found[at - start] == found[begin - start]
            and self.scripts[at] == self.scripts[begin]
            and self.fonts[at] is self.fonts[begin]
        )

    def _run(self, start: int, end: int, level: int) -> TextRun:
        text, font = self.text[start:end], self.fonts[start]
        shown = text
        if text.endswith(SOFT_HYPHEN):
            shown = text[:-1] + (HYPHEN if font.has(HYPHEN) else "-")
        glyphs = _shape(shown, font, self.scripts[start], self.language, right_to_left=bool(level % 2))
        return TextRun(font, text, bool(level % 2), glyphs)


@dataclass(frozen=True)
class ShapedLine:
    """One line of a paragraph. ``width`` in ems, without the spaces at its end; ``last`` of its paragraph."""

    text: str
    runs: tuple[TextRun, ...]
    width: float
    from_right: bool
    last: bool


def paragraph(
    text: str, fonts: Fonts, face: str, *, direction: str = "auto", language: str = ""
) -> tuple[Paragraph, tuple[Missing, ...]]:
    """Take one paragraph (no line breaks in it) apart; what no font has is handed back with its place."""
    base = {"ltr": 0, "rtl": 1}.get(direction, -1)
    if base < 0:
        base = base_level(text)
    chosen, missing = fonts.fonts_for(text, face)
    return Paragraph(text, base, tuple(levels(text, base)), _scripts(text), chosen, language), missing


def broken(paragraph: Paragraph, room: float) -> tuple[ShapedLine, ...]:
    """The paragraph's lines, each as long as ``room`` ems take. What cannot be broken stands out of it."""
    text = paragraph.text
    if not text:
        return (ShapedLine("", (), 0.0, bool(paragraph.base), last=True),)
    whole = _line(paragraph, 0, len(text))
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
    fitting, line = first, _line(paragraph, start, chances[first])
    beyond = len(chances)
    leap = 1
    while fitting + 1 < beyond:
        tried = min(fitting + leap, beyond - 1)
        longer = _line(paragraph, start, chances[tried])
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


def _line(paragraph: Paragraph, start: int, end: int) -> ShapedLine:
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


def _scripts(text: str) -> tuple[str, ...]:
    """Each character's script; what is common to several goes with what stands before it (UAX #24, 5.1)."""
    if text.isascii():
        return ("Latn",) * len(text)
    from fontTools import unicodedata as tables  # kept off the start-up path

    found = [tables.script(each) for each in text]
    first = next((each for each in found if each not in ("Zyyy", "Zinh", "Zzzz")), "Latn")
    last = first
    for place, script in enumerate(found):
        if script in ("Zyyy", "Zinh", "Zzzz"):
            found[place] = last
        last = found[place]
    return tuple(found)


def _shape(
    text: str, font: Typeface, script: str, language: str, *, right_to_left: bool
) -> tuple[Glyph, ...]:
    import uharfbuzz as hb

    buffer = hb.Buffer()
    buffer.add_codepoints([ord(each) for each in text])
    buffer.direction = "rtl" if right_to_left else "ltr"
    buffer.script = script
    buffer.language = language or "und"  # never the computer's own, or files would differ
    buffer.cluster_level = hb.BufferClusterLevel.MONOTONE_CHARACTERS
    buffer.flags = hb.BufferFlags.BOT | hb.BufferFlags.EOT | hb.BufferFlags.REMOVE_DEFAULT_IGNORABLES
    hb.shape(font.shaper, buffer)
    infos, positions = buffer.glyph_infos, buffer.glyph_positions
    meanings = _meanings([info.cluster for info in infos], text, right_to_left=right_to_left)
    glyphs: list[Glyph] = []
    at = 0.0
    for info, position, meaning in zip(infos, positions, meanings, strict=True):
        x, y = (at + position.x_offset) / font.per_em, position.y_offset / font.per_em
        glyphs.append(Glyph(info.codepoint, x, y, position.x_advance / font.per_em, meaning))
        at += position.x_advance
    return tuple(glyphs)


def _meanings(clusters: list[int], text: str, *, right_to_left: bool) -> list[str]:
    """What each glyph stands for. A cluster's characters reach to where the next one begins."""
    places_of: dict[int, list[int]] = {}
    for place, cluster in enumerate(clusters):
        places_of.setdefault(cluster, []).append(place)
    starts = sorted(places_of)
    meanings = [""] * len(clusters)
    for start, end in pairwise([*starts, len(text)]):
        places = places_of[start]
        meant = "".join(each for each in text[start:end] if not is_silent(each))
        if right_to_left:
            # One character a glyph as far as they go, what is left over with the last.
            meant = _seen(meant)
            shared = [*meant[: len(places) - 1], meant[len(places) - 1 :]]
            for place, part in zip(places, shared, strict=False):
                meanings[place] = part
        else:
            meanings[places[0]] = meant
    return meanings


def _seen(text: str) -> str:
    """Text that runs from the right as it is seen from the left, brackets turned."""
    from bidi.mirror import MIRRORED  # type: ignore[import-untyped]

    return "".join(MIRRORED.get(each, each) for each in reversed(text))
