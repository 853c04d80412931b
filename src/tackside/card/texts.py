"""Text set on a panel: lines broken between words, centred, each with its baseline on the upright panel."""

from __future__ import annotations

import struct
import unicodedata
from dataclasses import dataclass

from tackside.card.design import CardText
from tackside.card.frame import Frame, frame_of
from tackside.card.typeface import Typeface, typeface
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel
from tackside.units import MM_PER_POINT, Box

# Clear of the trim, and of what the printer cannot reach. Source: TRADE, "frames at least 6.4 mm from a cut".
SAFE_MM = 6.4
NO_BREAK_SPACE = "\u00a0"
LEADING_EM = 1.35  # common practice for short lines of small type


@dataclass(frozen=True)
class Line:
    """One line; ``x_mm`` and ``baseline_mm`` place its start on the upright panel."""

    text: str
    x_mm: float
    baseline_mm: float


@dataclass(frozen=True)
class PlacedText:
    """A text on its panel. ``box_mm``, on the sheet, holds its lines from ascender to descender."""

    asked: CardText
    font: Typeface
    frame: Frame
    lines: tuple[Line, ...]
    box_mm: Box


def place_text(asked: CardText, panel: Panel, margin_mm: float) -> PlacedText:
    """Set a text on its panel, ``margin_mm`` being the widest strip along an edge that the printer cannot
    reach.

    Raises DoesNotFit where a character has no glyph or the lines have no room.
    """
    font = typeface(asked.face)
    text = unicodedata.normalize("NFC", asked.text).replace("\r\n", "\n").replace("\t", " ")
    _refuse_missing(text, font, asked)
    frame = frame_of(panel)
    em = asked.size_pt * MM_PER_POINT
    clear = margin_mm + SAFE_MM
    width, height = frame.size[0] - 2 * clear, frame.size[1] - 2 * clear
    lines = [line for part in text.split("\n") for line in _broken(part, font, width / em)]
    lines = [line.replace(NO_BREAK_SPACE, " ") for line in lines]
    ascent, descent = font.ascent / font.per_em * em, -font.descent / font.per_em * em
    leading = LEADING_EM * em
    tall = ascent + descent + leading * (len(lines) - 1)
    widths = [font.width_em(line) * em for line in lines]
    if max(widths) > width or tall > height:
        _refuse_too_large(asked, max(widths), tall, width, height)
    first = _first_baseline(
        asked.place, frame.size[1], clear, len(lines), leading, ascent, descent, _capitals(font) * em
    )
    middle = frame.size[0] / 2
    placed = tuple(
        Line(line, middle - wide / 2, first + leading * i)
        for i, (line, wide) in enumerate(zip(lines, widths, strict=True))
    )
    block = Box(middle - max(widths) / 2, first - ascent, max(widths), tall)
    return PlacedText(asked, font, frame, placed, frame.box_on_sheet(block))


def _first_baseline(
    place: str,
    height: float,
    clear: float,
    lines: int,
    leading: float,
    ascent: float,
    descent: float,
    capitals: float,
) -> float:
    """Where the first baseline stands. In the middle, what is centred is the span from capitals to last
    baseline.
    """
    if place == "head":
        return clear + ascent
    if place == "foot":
        return height - clear - descent - leading * (lines - 1)
    return height / 2 + capitals / 2 - leading * (lines - 1) / 2


def _capitals(font: Typeface) -> float:
    """Height of capitals in ems (OS/2 version 2 and later), else seven tenths of the em."""
    table = font.tables.get("OS/2", b"")
    if len(table) >= 90 and struct.unpack_from(">H", table)[0] >= 2:
        height: int = struct.unpack_from(">h", table, 88)[0]
        if height > 0:
            return height / font.per_em
    return 0.7


def _broken(paragraph: str, font: Typeface, room_em: float) -> list[str]:
    """As many words a line as the room takes; a word that is too long stands alone."""
    lines: list[str] = []
    line = ""
    for word in filter(None, paragraph.split(" ")):  # a no-break space stays inside its word
        longer = f"{line} {word}" if line else word
        if line and font.width_em(longer) > room_em:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line]


def _refuse_missing(text: str, font: Typeface, asked: CardText) -> None:
    for place, character in enumerate(text, start=1):
        if character in font.glyphs or character in ("\n", NO_BREAK_SPACE):
            continue
        name = unicodedata.name(character, f"U+{ord(character):04X}").lower()
        raise DoesNotFit(
            f"the text on the {asked.panel} panel has a character that the font {font.name} lacks: "
            f'"{character}" ({name}), number {place}',
            f'try face = "{"serif" if asked.face == "sans" else "sans"}", or write it otherwise',
        )


def _refuse_too_large(asked: CardText, wide: float, tall: float, width: float, height: float) -> None:
    share = min(width / wide, height / tall) if width > 0 and height > 0 else 0.0
    start = " ".join(asked.text.split())[:30]
    mend = (
        "shorten it"
        if asked.size_pt * share < 3
        else f"try size_pt = {asked.size_pt * share * 0.98:.1f}, or shorten it"
    )
    raise DoesNotFit(
        f'the text "{start}" takes {wide:.1f} × {tall:.1f} mm at {asked.size_pt:g} pt, but the '
        f"{asked.panel} panel "
        f"has room for {max(width, 0):.1f} × {max(height, 0):.1f} mm",
        mend,
    )
