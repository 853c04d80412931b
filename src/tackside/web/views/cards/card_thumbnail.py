"""A small drawing of a card's front: its picture, its type, its colours."""

from __future__ import annotations

import base64
from html import escape

from tackside.bench.store import Bench
from tackside.card.checks.live_check import LiveCheck
from tackside.card.layout.layout import CardFace
from tackside.card.layout.zones import frame_of
from tackside.errors import TacksideError
from tackside.fit.model import Panel
from tackside.records.card import KeptCard
from tackside.units import Box
from tackside.web.views.cards.card import whole_of
from tackside.web.views.cards.card_frames import back_matrix, matrix_of
from tackside.web.views.cards.card_type import glyphs_of, hexadecimal
from tackside.workflow.cards.kept import images_of, parts_of, tried
from tackside.workflow.placement import KnownPaths

SHORTLY = {
    "cache-control": "private, max-age=20",
    "content-security-policy": "default-src 'none'; img-src data:",
}


def card_thumbnail(bench: Bench, kept: KeptCard, paths: KnownPaths) -> str:
    """The front as an SVG that holds all it needs; an empty sheet where the card cannot be laid out."""
    try:
        outcome = tried(bench, parts_of(kept), images_of(bench, kept), paths, kept.fonts)
    except TacksideError:
        return _svg((60.0, 80.0), "")
    face = outcome.faces[0]
    front = next((each for each in face.panels if each.name.startswith("front")), face.panels[0])
    frame = frame_of(front)
    drawn = f'<g transform="{back_matrix(frame)}">{"".join(_parts(bench, kept, outcome, face))}</g>'
    return _svg(frame.size, drawn)


def _parts(bench: Bench, kept: KeptCard, outcome: LiveCheck, face: CardFace) -> list[str]:
    small = {each.name: each.small_sha256 for each in images_of(bench, kept)}
    parts = [f'<path fill="{hexadecimal(fill.rgb)}" d="{_path(fill.box_mm)}"/>' for fill in face.fills]
    for number, placed in enumerate(face.pictures):
        zone: Panel = face.zones[placed.asked.panel]
        frame = frame_of(zone, placed.asked.turn)
        shown = frame.box_on_panel(placed.box_mm)
        x, y, w, h = whole_of(placed, shown)
        data = base64.b64encode(bench.file(small[placed.asked.file]).read_bytes()).decode("ascii")
        parts.append(
            f'<g transform="{matrix_of(frame)}"><clipPath id="c{number}"><path d="{_path(shown)}"/></clipPath>'
            f'<image clip-path="url(#c{number})" x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}" '
            f'preserveAspectRatio="none" href="data:image/jpeg;base64,{data}"/></g>'
        )
    for text in face.texts:
        outlines = "".join(f'<path d="{each.outline}" transform="{each.place}"/>' for each in glyphs_of(text))
        parts.append(
            f'<g transform="{matrix_of(text.frame)}" fill="{escape(text.asked.colour)}">{outlines}</g>'
        )
    return parts


def _path(box: Box) -> str:
    return f"M{box.x:.2f} {box.y:.2f}h{box.w:.2f}v{box.h:.2f}h{-box.w:.2f}z"


def _svg(size: tuple[float, float], inner: str) -> str:
    width, height = size
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}"><path fill="#fff" d="{_path(Box(0, 0, width, height))}"/>{inner}</svg>'
    )
