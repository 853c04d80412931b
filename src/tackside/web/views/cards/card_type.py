"""Type and codes of a card as SVG paths, just as they are printed: mm on the upright panel."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tackside.card.layout.placed import PlacedCode, Rgb
from tackside.card.layout.texts import PlacedText
from tackside.card.type.typeface import Typeface
from tackside.units import MM_PER_POINT


@dataclass(frozen=True)
class GlyphPath:
    """An outline in units of its font and where it stands: an SVG transform."""

    outline: str
    place: str


def glyphs_of(text: PlacedText) -> tuple[GlyphPath, ...]:
    """All glyphs of a text that leave a mark."""
    found = []
    for run in text.runs:
        em = run.size_pt * MM_PER_POINT / run.font.per_em
        for glyph in run.glyphs:
            outline = _outline(run.font, glyph.gid)
            if outline:
                place = f"matrix({em:.7f} 0 0 {-em:.7f} {glyph.x_mm:.3f} {glyph.y_mm:.3f})"
                found.append(GlyphPath(outline, place))
    return tuple(found)


def code_path(code: PlacedCode) -> str:
    """The dark modules, on the sheet."""
    return "".join(f"M{b.x:.3f} {b.y:.3f}h{b.w:.3f}v{b.h:.3f}h{-b.w:.3f}z" for b in code.dark_runs())


def code_paper(code: PlacedCode) -> str | None:
    """The ground under a code, on the sheet; None where it stands on bare card."""
    if code.ground is None:
        return None
    box = code.ground_mm
    return f"M{box.x:.3f} {box.y:.3f}h{box.w:.3f}v{box.h:.3f}h{-box.w:.3f}z"


def hexadecimal(rgb: Rgb) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in rgb)


@lru_cache(maxsize=2048)
def _outline(font: Typeface, gid: int) -> str:
    from fontTools.pens.svgPathPen import SVGPathPen

    pen = SVGPathPen(None)
    font.shaper.draw_glyph_with_pen(gid, pen)
    return str(pen.getCommands())
