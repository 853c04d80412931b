"""Pictures of sheets and cards for people: paper on a bench, hairlines, labels in the shipped type.

Everything is written as SVG 1.1 and drawn by libvips; type goes in as outlines, so that no font of the computer
changes it. Lengths are pixels of the picture.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable

import pyvips

from tackside.card.type.typeface import typeface
from tackside.units import Box

BENCH, PAPER, INK, SOFT, HAIR = "#ece8e0", "#fffefb", "#24211d", "#5f5950", "#c9c1b2"
CREASE, SAFE, UNREACHED = "#1f4e5f", "#8a3b12", "#5f5950"
HALO = "#ffffff"
# The shade of a crease seen from within, from one side of it to the other.
_VALLEY = "".join(
    f'<stop offset="{at}" stop-color="#3a342a" stop-opacity="{shade}"/>'
    for at, shade in ((0, 0), (0.3, 0.02), (0.5, 0.13), (0.7, 0.02), (1, 0))
)


def label(
    text: str,
    x: float,
    y: float,
    size: float,
    *,
    face: str = "sans",
    anchor: str = "start",
    fill: str = INK,
    turn_deg: float = 0,
) -> str:
    """A line of type, its baseline's start, middle or end at (x, y), turned clockwise about that point."""
    outline, wide = _outline(text, face)
    scale = size / typeface(face).per_em
    shift = {"start": 0.0, "middle": -wide / 2, "end": -wide}[anchor]
    placed = f"translate({x:.2f} {y:.2f}) rotate({turn_deg:g}) scale({scale:.6f} {-scale:.6f}) translate({shift:.1f} 0)"
    return f'<path d="{outline}" transform="{placed}" fill="{fill}"/>'


def label_width(text: str, size: float, face: str = "sans") -> float:
    return _outline(text, face)[1] * size / typeface(face).per_em


def line(x1: float, y1: float, x2: float, y2: float, stroke: str, width: float, dashes: str = "") -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{stroke}" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def seen_line(x1: float, y1: float, x2: float, y2: float, stroke: str, width: float, dashes: str = "") -> str:
    """A line that is seen on any picture: it runs on a pale band."""
    band = f'<g opacity="0.75">{line(x1, y1, x2, y2, HALO, width + 2.4)}</g>'
    return band + line(x1, y1, x2, y2, stroke, width, dashes)


def outline_of(box: Box, stroke: str, width: float, dashes: str = "", *, seen: bool = False) -> str:
    """A rectangle that is not filled."""
    edges = [
        (box.x, box.y, box.right, box.y),
        (box.right, box.y, box.right, box.bottom),
        (box.right, box.bottom, box.x, box.bottom),
        (box.x, box.bottom, box.x, box.y),
    ]
    draw = seen_line if seen else line
    return "".join(draw(*edge, stroke, width, dashes) for edge in edges)


def paper(box: Box, lift: float = 14) -> str:
    """A sheet lying on the bench: its shadow, its ground, a hairline."""
    shape = f'x="{box.x:.2f}" y="{box.y:.2f}" width="{box.w:.2f}" height="{box.h:.2f}"'
    return (
        f'<rect {shape} transform="translate(0 {lift * 0.5:g})" fill="#4a3f30" opacity="0.22" filter="url(#soft)"/>'
        f'<rect {shape} transform="translate(0 {lift * 0.1:g})" fill="#4a3f30" opacity="0.20" filter="url(#near)"/>'
        f'<rect {shape} fill="{PAPER}"/>'
    )


def picture(image: pyvips.Image, x: float, y: float) -> str:
    """Pixels laid at (x, y), each on one pixel of the drawing."""
    data = base64.b64encode(image.pngsave_buffer(compression=1, keep="none")).decode("ascii")
    return (
        f'<image x="{x:.2f}" y="{y:.2f}" width="{image.width}" height="{image.height}" '
        f'href="data:image/png;base64,{data}"/>'
    )


def drawn(width: float, height: float, parts: Iterable[str]) -> pyvips.Image:
    """The finished picture, RGB of 8 bits."""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height:.0f}">'
        "<defs>"
        '<filter id="soft" x="-20%" y="-20%" width="140%" height="140%"><feGaussianBlur stdDeviation="14"/></filter>'
        '<filter id="near" x="-20%" y="-20%" width="140%" height="140%"><feGaussianBlur stdDeviation="2"/></filter>'
        f'<linearGradient id="valley-down">{_VALLEY}</linearGradient>'
        f'<linearGradient id="valley-across" x2="0" y2="1">{_VALLEY}</linearGradient>'
        '<pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<rect width="7" height="7" fill="#f4efe6" opacity="0.72"/>{line(0, 0, 0, 7, UNREACHED, 1.1)}</pattern>'
        "</defs>"
        f'<rect width="100%" height="100%" fill="{BENCH}"/>{"".join(parts)}</svg>'
    )
    image = pyvips.Image.svgload_buffer(svg.encode("utf-8"), unlimited=True)
    return image.flatten(background=[236, 232, 224]).copy(interpretation="srgb")


def _outline(text: str, face: str) -> tuple[str, float]:
    """The text's outlines as an SVG path, y upwards, and its width, in units of the font."""
    import uharfbuzz
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen

    font = typeface(face)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font.shaper, buffer)
    pen, at = SVGPathPen(None), 0.0
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        moved = TransformPen(pen, (1, 0, 0, 1, at + place.x_offset, place.y_offset))
        font.shaper.draw_glyph_with_pen(info.codepoint, moved)
        at += place.x_advance
    return str(pen.getCommands()), at
