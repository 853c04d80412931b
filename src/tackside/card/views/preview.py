"""What comes out of the printer, drawn for whoever feeds it: each face with panels, crease, margins and safe zone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import pyvips

from tackside.card.layout.layout import CardFace
from tackside.card.pixels.conversion import OutputColour
from tackside.card.pixels.raster import render
from tackside.card.views.drawing import (
    CREASE,
    HAIR,
    INK,
    PAPER,
    SAFE,
    SOFT,
    drawn,
    label,
    label_width,
    line,
    outline_of,
    paper,
    picture,
    seen_line,
)
from tackside.errors import StorageTrouble
from tackside.files.atomic import atomic_path
from tackside.fit.model import Panel
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Crease
from tackside.units import MM_PER_INCH, Box

LONG_EDGE_PX = 1180
EDGE, GAP, HEAD, FOOT = 78, 120, 132, 150  # round the sheets, in pixels
SAFE_MM = 3.0  # inside the trim: docs/sources.md, S18
BLEED_DASHES = "5 4"
TITLES = {"outside": "Outside", "inside": "Inside", "front": "Front", "back": "Back"}


def preview(faces: Sequence[CardFace], own: OutputColour | None = None) -> pyvips.Image:
    """All faces as they are fed, side by side. Reads the pictures. Raises BadImage, pyvips.Error."""
    wide, tall = faces[0].fit.size_mm
    scale = LONG_EDGE_PX / max(wide, tall)
    width = 2 * EDGE + len(faces) * wide * scale + (len(faces) - 1) * GAP
    parts: list[str] = []
    for number, face in enumerate(faces):
        parts += _face(face, EDGE + number * (wide * scale + GAP), HEAD, scale, own)
    height = HEAD + tall * scale + FOOT
    parts += _legend(faces, EDGE, height - 42, width - 2 * EDGE)
    return drawn(width, height, parts)


def shown(face: CardFace, ppi: float, own: OutputColour | None = None) -> pyvips.Image:
    """A face's pixels for a screen, in sRGB."""
    space = own.own if own else "srgb"
    return render(face, ppi, OutputColour(working_space_profile("srgb"), space, "relative", True)).image


def save_png(image: pyvips.Image, path: Path) -> None:
    """Write a drawing. Same input, same bytes. Raises StorageTrouble."""
    with atomic_path(path) as temporary:
        try:
            image.pngsave(str(temporary), compression=7, keep="none")
        except pyvips.Error as error:
            raise StorageTrouble("card.not-written", file=str(path)) from error


def _face(face: CardFace, x: float, y: float, scale: float, own: OutputColour | None) -> Iterator[str]:
    wide, tall = face.fit.size_mm

    def on(box: Box) -> Box:
        return Box(x + box.x * scale, y + box.y * scale, box.w * scale, box.h * scale)

    sheet = on(Box(0, 0, wide, tall))
    title = (
        TITLES.get(face.name, face.name.capitalize())
        if len(face.panels) > 1 or face.side == "back"
        else "Front"
    )
    yield label(title, sheet.x, y - 62, 34, face="serif")
    yield label("as fed, the printed face towards you", sheet.x, y - 30, 17, fill=SOFT)
    yield _feed_arrow(sheet)
    yield paper(sheet)
    yield picture(shown(face, scale * MM_PER_INCH, own), sheet.x, sheet.y)
    for panel in face.panels:
        yield from _unreached(on(panel.trim), on(panel.printable) if panel.is_reached else None)
    if _is_cut(face):
        yield outline_of(on(face.bleed), SOFT, 1.2, BLEED_DASHES, seen=True)
        yield outline_of(on(face.trim), INK, 1.4, seen=True)
    for panel in face.panels:
        yield outline_of(on(panel.trim.shrunk(SAFE_MM)), SAFE, 1.5, "1.5 5", seen=True)
    for crease in face.fit.creases:
        yield from _crease(crease, face, sheet, scale)
    yield outline_of(sheet, HAIR, 1)
    for panel in face.panels:
        yield _name(panel, on(panel.trim))
    yield label(f"{wide:g} mm", sheet.centre[0], sheet.bottom + 30, 17, anchor="middle", fill=SOFT)
    yield label(
        f"{tall:g} mm", sheet.x - 22, sheet.y + sheet.h * 0.75, 17, anchor="middle", fill=SOFT, turn_deg=-90
    )


def _is_cut(face: CardFace) -> bool:
    """Whether the card is cut from the sheet, so that trim and bleed lie inside it."""
    return face.trim != Box(0, 0, *face.fit.size_mm)


def _feed_arrow(sheet: Box) -> str:
    """Which edge is the top one, as all places are measured from it."""
    text, x, y = "top edge", sheet.right, sheet.y - 30
    end = x - label_width(text, 17) - 16
    head = f'<path d="M{end - 6:.1f} {y - 7:.1f} l6 -9 l6 9 z" fill="{SOFT}"/>'
    return label(text, x, y, 17, anchor="end", fill=SOFT) + line(end, y + 4, end, y - 8, SOFT, 1.6) + head


def _unreached(trim: Box, reached: Box | None) -> Iterator[str]:
    """Where the printer leaves the panel bare."""
    inner = reached or Box(trim.x, trim.y, 0, 0)
    yield (
        f'<path fill-rule="evenodd" fill="url(#hatch)" d="{_path(trim)} {_path(inner)}"/>'
        if inner != trim
        else ""
    )


def _path(box: Box) -> str:
    return f"M{box.x:.2f} {box.y:.2f} h{box.w:.2f} v{box.h:.2f} h{-box.w:.2f} z"


def _crease(crease: Crease, face: CardFace, sheet: Box, scale: float) -> Iterator[str]:
    """The crease and the way it folds. Seen on the outside, a card that folds in is folded away from the reader."""
    away = (crease.folds == "in") == (face.side == "front")
    dashes, said = ("16 6 3 6", "fold away from you") if away else ("10 7", "fold towards you")
    at = crease.at_mm * scale
    turn = 0
    if crease.direction == "horizontal":
        x, y = sheet.centre[0], sheet.y + at
        yield seen_line(sheet.x - 12, y, sheet.right + 12, y, CREASE, 2, dashes)
    else:
        x, y, turn = sheet.x + at, sheet.centre[1], -90
        yield seen_line(x, sheet.y - 12, x, sheet.bottom + 12, CREASE, 2, dashes)
    yield _tag(f"{crease.at_mm:g} mm · {said}", x, y, turn, CREASE, arrow="over" if away else "up")


def _name(panel: Panel, trim: Box) -> str:
    """The panel's name at its head, standing as its contents stand."""
    dx, dy = {0: (0, -1), 90: (1, 0), 180: (0, 1), 270: (-1, 0)}[panel.turn_deg]
    reach = (trim.w if dx else trim.h) / 2 - 40
    x, y = trim.centre
    return _tag(
        panel.name.replace("-", " "), x + dx * reach, y + dy * reach, panel.turn_deg, SOFT, arrow="up"
    )


def _tag(text: str, x: float, y: float, turn_deg: float, ink: str, arrow: str) -> str:
    """A small slip of paper with a line of type and an arrow, centred on (x, y)."""
    size = 17.0
    wide = label_width(text, size) + 50
    mark = (
        f'<path d="M{-wide / 2 + 19:.1f} 7 v-12 m-5 5 l5 -6 l5 6" fill="none" stroke="{ink}" stroke-width="1.8"/>'
        if arrow == "up"
        else f'<path d="M{-wide / 2 + 9:.1f} 5 a7.5 7.5 0 0 1 14 0 m-5 -3 l5 4 l4 -5" fill="none" stroke="{ink}" '
        'stroke-width="1.8"/>'
    )
    return (
        f'<g transform="translate({x:.2f} {y:.2f}) rotate({turn_deg:g})">'
        f'<rect x="{-wide / 2:.1f}" y="-15" width="{wide:.1f}" height="30" rx="4" fill="{PAPER}" opacity="0.93" '
        f'stroke="{HAIR}"/>{mark}{label(text, -wide / 2 + 34, 6, size, fill=ink)}</g>'
    )


def _legend(faces: Sequence[CardFace], x: float, y: float, room: float) -> Iterator[str]:
    """What the lines mean; only what is there."""
    hatch = '<rect y="-17" width="44" height="20" fill="url(#hatch)"/>'
    entries = [
        (line(0, -6, 44, -6, CREASE, 2, "16 6 3 6"), "crease", any(face.fit.creases for face in faces)),
        (line(0, -6, 44, -6, SAFE, 1.8, "1.5 5"), f"safe zone, {SAFE_MM:g} mm in", True),
        (line(0, -6, 44, -6, INK, 1.4), "cut here", any(map(_is_cut, faces))),
        (line(0, -6, 44, -6, SOFT, 1.2, BLEED_DASHES), "bleed", any(map(_is_cut, faces))),
        (
            hatch,
            "not reached by the printer",
            any(panel.printable != panel.trim for face in faces for panel in face.panels),
        ),
    ]
    at = x
    for sample, text, is_there in entries:
        if not is_there:
            continue
        wide = 56 + label_width(text, 17) + 42
        if at > x and at + wide > x + room + 42:
            at, y = x, y + 26
        yield f'<g transform="translate({at:.1f} {y:.1f})">{sample}</g>' + label(
            text, at + 56, y, 17, fill=SOFT
        )
        at += wide
