"""Text set on a panel: shaped, broken, aligned, every glyph with its place on the upright panel."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

from tackside.card.file.design import WHOLE, CardText, own_field, plain
from tackside.card.layout.placed import GlyphRun, PlacedGlyph, Rgb, rgb_in
from tackside.card.layout.zones import Frame, frame_of
from tackside.card.type.fonts import Fonts, Missing
from tackside.card.type.paragraphs import Paragraph, ShapedLine, broken, paragraph
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel, called
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records.sheet_plan import Space
from tackside.units import MM_PER_POINT, Box

# Clear of the trim, and of what the printer cannot reach. As frames: docs/sources.md, S18.
SAFE_MM = 6.4
SPACES = (" ", "\u00a0")
SLACK_MM = 1e-6
SIZE_STEP_PT = 0.1
SMALLEST_PT = 3.0  # of a card file's size_pt
# All that ends a line by Unicode's newline guidelines (Unicode 15, 5.8).
_LINE_ENDS = re.compile("\r\n|[\r\v\f\x85\u2028\u2029]")


@dataclass(frozen=True)
class TextLine:
    """One line as it is read; ``x_mm`` and ``baseline_mm`` place its left end on the upright panel."""

    text: str
    x_mm: float
    baseline_mm: float


@dataclass(frozen=True)
class PlacedText:
    """A text on its panel, set at ``size_pt``. ``box_mm``, on the sheet, holds its lines from ascender to descender;
    ``part`` is which text of the card it is, or the credit. ``missing`` are characters that no font has, left out, by
    the line that they were typed on, from 1."""

    asked: CardText
    frame: Frame
    lines: tuple[TextLine, ...]
    runs: tuple[GlyphRun, ...]
    box_mm: Box
    size_pt: float
    part: Place = WHOLE
    missing: tuple[tuple[int, Missing], ...] = ()


def place_text(
    asked: CardText,
    panel: Panel,
    margin_mm: float,
    fonts: Fonts | None = None,
    space: Space = "srgb",
    part: Place = WHOLE,
) -> PlacedText:
    """Set a text on its panel, ``margin_mm`` being the widest strip along an edge that the printer cannot
    reach: at the size that was asked for, or the largest one of tenths of a point under it that has room.

    Characters that no font has are left out and told. Raises DoesNotFit where the lines have no room, BadRecord for an
    unknown face.
    """
    fonts = fonts or Fonts()
    frame = frame_of(panel, asked.turn)
    room = Box(*asked.box_mm) if asked.box_mm else Box(0, 0, *frame.size).shrunk(margin_mm + SAFE_MM)
    paragraphs, missing = _paragraphs(asked, fonts)
    block = _sized(asked, paragraphs, room, fonts)
    lines, leading, ascent, tall = block.lines, block.leading, block.ascent, block.tall
    asked_size, asked = asked, asked.model_copy(update={"size_pt": block.size_pt})
    em = block.size_pt * MM_PER_POINT
    first = _first_baseline(asked, room, len(lines), leading, ascent, block.descent, fonts)
    rgb = rgb_in(space, asked.colour)
    placed: list[TextLine] = []
    runs: list[GlyphRun] = []
    for number, line in enumerate(lines):
        x, baseline = _start(asked, line, room, em), first + leading * number
        placed.append(TextLine(line.text.replace(SPACES[1], " "), x, baseline))
        runs += _runs(asked, line, x, baseline, room.w, rgb)
    left = min(line.x_mm for line in placed)
    right = max(
        line.x_mm + _width(asked, shaped, room, em) for line, shaped in zip(placed, lines, strict=True)
    )
    box = frame.box_on_sheet(Box(left, first - ascent, right - left, tall))
    return PlacedText(asked_size, frame, tuple(placed), tuple(runs), box, block.size_pt, part, tuple(missing))


@dataclass(frozen=True)
class _Block:
    """A text broken into lines at one size; ``wide`` to ``descent`` and ``leading`` in mm."""

    size_pt: float
    lines: tuple[ShapedLine, ...]
    wide: float
    tall: float
    ascent: float
    descent: float
    leading: float

    def fits(self, asked: CardText, room: Box) -> bool:
        return (
            self.wide <= room.w + SLACK_MM
            and self.tall <= room.h + SLACK_MM
            and (asked.most_lines is None or len(self.lines) <= asked.most_lines)
        )


def _sized(asked: CardText, paragraphs: Sequence[Paragraph], room: Box, fonts: Fonts) -> _Block:
    """The text at the largest size that has room. Raises DoesNotFit where the smallest has none."""
    block = _block(asked, paragraphs, room, fonts, asked.size_pt)
    if block.fits(asked, room):
        return block
    least = asked.smallest_pt
    small = block if least is None else _block(asked, paragraphs, room, fonts, least)
    if least is None or not small.fits(asked, room):
        _refuse_too_large(asked, small, room)
    found, low, high = (
        small,
        math.ceil(small.size_pt / SIZE_STEP_PT),
        math.floor(asked.size_pt / SIZE_STEP_PT),
    )
    while low <= high:  # what fits at one size fits at all smaller ones
        middle = (low + high) // 2
        tried = _block(asked, paragraphs, room, fonts, round(middle * SIZE_STEP_PT, 1))
        if tried.fits(asked, room):
            found, low = tried, middle + 1
        else:
            high = middle - 1
    return found


def _block(
    asked: CardText, paragraphs: Sequence[Paragraph], room: Box, fonts: Fonts, size_pt: float
) -> _Block:
    em = size_pt * MM_PER_POINT
    lines = tuple(line for each in paragraphs for line in broken(each, (room.w + SLACK_MM) / em))
    leading = asked.leading * em
    ascent, descent = (extent * em for extent in _extents(lines, fonts, asked.face))
    wide = max(line.width for line in lines) * em
    tall = ascent + descent + leading * (len(lines) - 1)
    return _Block(size_pt, lines, wide, tall, ascent, descent, leading)


def _paragraphs(asked: CardText, fonts: Fonts) -> tuple[list[Paragraph], list[tuple[int, Missing]]]:
    """Each line as it was typed, composed, its runs of spaces made one, without what no font has; and that."""
    typed = unicodedata.normalize("NFC", _LINE_ENDS.sub("\n", plain(asked.text))).replace("\t", " ")
    found: list[Paragraph] = []
    lacking: list[tuple[int, Missing]] = []
    for number, words in enumerate(typed.split("\n"), start=1):
        missing = fonts.fonts_for(words, asked.face)[1]
        lacking += [(number, each) for each in missing]
        tidy = re.sub(" +", " ", _without(words, missing)).strip(" ")
        found.append(
            paragraph(tidy, fonts, asked.face, direction=asked.direction, language=asked.language)[0]
        )
    return found, lacking


def _without(words: str, missing: Sequence[Missing]) -> str:
    """The words without the letters, as they are seen, that a missing character is part of."""
    for each in reversed(missing):
        words = words[: each.start] + words[each.start + len(each.cluster) :]
    return words


def _extents(lines: Sequence[ShapedLine], fonts: Fonts, face: str) -> tuple[float, float]:
    """How far the fonts reach above and below a baseline, in ems."""
    used = [fonts.face(face), *(run.font for line in lines for run in line.runs)]
    return (
        max(font.ascent / font.per_em for font in used),
        max(-font.descent / font.per_em for font in used),
    )


def _first_baseline(
    asked: CardText, room: Box, lines: int, leading: float, ascent: float, descent: float, fonts: Fonts
) -> float:
    """Where the first baseline stands. In the middle, what is centred is the span from capitals to last
    baseline, as far as the room lets it.
    """
    if asked.place == "head":
        return room.y + ascent
    last = room.bottom - descent - leading * (lines - 1)
    if asked.place == "foot":
        return last
    font = fonts.face(asked.face)
    capitals = font.capitals / font.per_em * asked.size_pt * MM_PER_POINT
    middle = room.y + room.h / 2 + capitals / 2 - leading * (lines - 1) / 2
    return min(max(middle, room.y + ascent), last)


def _fills_the_room(asked: CardText, line: ShapedLine) -> bool:
    return asked.align == "justified" and not line.last and _gaps(line) > 0


def _gaps(line: ShapedLine) -> int:
    return sum(glyph.text in SPACES for run in line.runs for glyph in run.glyphs)


def _width(asked: CardText, line: ShapedLine, room: Box, em: float) -> float:
    return room.w if _fills_the_room(asked, line) else line.width * em


def _start(asked: CardText, line: ShapedLine, room: Box, em: float) -> float:
    """The left end of a line."""
    spare = room.w - _width(asked, line, room, em)
    if asked.align == "centre":
        return room.x + spare / 2
    at_right = line.from_right == (asked.align != "end")
    return room.x + (spare if at_right else 0.0)


def _runs(
    asked: CardText, line: ShapedLine, x: float, baseline: float, room: float, rgb: Rgb
) -> list[GlyphRun]:
    """The line's glyphs on the upright panel, spaces widened where it fills the room."""
    em = asked.size_pt * MM_PER_POINT
    wider = (room - line.width * em) / _gaps(line) if _fills_the_room(asked, line) else 0.0
    found: list[GlyphRun] = []
    at = x
    for run in line.runs:
        start = at
        stretched = 0.0
        glyphs: list[PlacedGlyph] = []
        for glyph in run.glyphs:
            glyphs.append(
                PlacedGlyph(glyph.gid, start + stretched + glyph.x * em, baseline - glyph.y * em, glyph.text)
            )
            stretched += wider if glyph.text in SPACES else 0.0
        at += run.width * em + stretched
        found.append(GlyphRun(run.font, asked.size_pt, rgb, tuple(glyphs), run.text, run.right_to_left))
    return found


def missing_characters(text: PlacedText) -> DoesNotFit:
    """Why a text cannot be printed as it was typed: no font has some of its characters."""
    asked, (line, first) = text.asked, text.missing[0]
    point, name = f"U+{ord(first.character):04X}", unicodedata.name(first.character, "without a name")
    character = (
        Message("type.character", character=first.character, name=name, point=point)
        if first.character.isprintable()
        else Message("type.character-unseen", name=name, point=point)
    )
    where = {"panel": called(asked.panel), "line": line, "column": first.place + 1, "character": character}
    others = len(text.missing) - 1
    if others:
        return DoesNotFit("type.characters-missing", place=own_field("text"), others=others, **where)
    return DoesNotFit("type.character-missing", place=own_field("text"), **where)


def _refuse_too_large(asked: CardText, block: _Block, room: Box) -> NoReturn:
    width, height, wide, tall = max(room.w, 0.0), max(room.h, 0.0), block.wide, block.tall
    if wide <= width + SLACK_MM and tall <= height + SLACK_MM:
        raise DoesNotFit(
            "type.too-many-lines",
            place=own_field("text"),
            start=" ".join(plain(asked.text).split())[:30],
            lines=len(block.lines),
            size=block.size_pt,
            panel=called(asked.panel),
            most=asked.most_lines,
        )
    share = min(width / wide, height / tall)
    raise DoesNotFit(
        "type.no-room-in-box" if asked.box_mm else "type.no-room-on-panel",
        place=own_field("text"),
        start=" ".join(plain(asked.text).split())[:30],
        needed_mm=(wide, tall),
        size=block.size_pt,
        panel=called(asked.panel),
        room_mm=(width, height),
        remedy=Message("type.shorten")
        if block.size_pt * share < SMALLEST_PT
        else Message("type.try-smaller", size=block.size_pt * share * 0.98),
    )
