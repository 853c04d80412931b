"""Slanted edges, 5° off the feed and across it, for the sharpness of the print (ISO 12233's slanted edge)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tackside.records import Target
from tackside.records.stock import Direction
from tackside.sheet.canvas import Canvas, Grid, half_plane_cover
from tackside.sheet.page.headings import Look, heading, outline
from tackside.sheet.placed import Placed
from tackside.units import Box, Size

ANGLE_DEG = 5.0
_LEAST_MM = 7.0
_MOST_MM = 30.0
_GAP_MM = 1.6
# Full contrast, and the lower one at which ink spread and sharpening show less.
_DIRECTIONS: tuple[Direction, ...] = ("vertical", "horizontal")
_TONES = (("full", 0.0, 1.0), ("soft", 51 / 255, 204 / 255))


@dataclass(frozen=True)
class Edges:
    name: str = "edges"

    def least(self, look: Look) -> Size:
        return Size(2 * _LEAST_MM + _GAP_MM, look.heading_mm + _LEAST_MM)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        """Two squares, or four where they fit: edges along the height and the width, at two contrasts."""
        room = box.inset(0, look.heading_mm, 0, 0)
        wide = min((room.w - 3 * _GAP_MM) / 4, room.h, _MOST_MM)
        tall = min((room.w - _GAP_MM) / 2, (room.h - _GAP_MM) / 2, _MOST_MM)
        side, abreast = max((wide, 4), (tall, 2))
        wanted = [(tone, direction) for tone in _TONES for direction in _DIRECTIONS]
        if side < _LEAST_MM:
            side, abreast, wanted = min((room.w - _GAP_MM) / 2, room.h, _MOST_MM), 2, wanted[:2]
        targets = []
        for number, ((tone, ink, ground), direction) in enumerate(wanted):
            row, column = divmod(number, abreast)
            square = grid.box(room.x + column * (side + _GAP_MM), room.y + row * (side + _GAP_MM), side, side)
            targets.append(
                Target(
                    kind="edge", name=f"edge-{tone}-{direction}", box_mm=square, panel=panel,
                    ink=(ink,) * 3, ground=(ground,) * 3, direction=direction, angle_deg=ANGLE_DEG,
                )
            )  # fmt: skip
        frames = [bar for target in targets if target.ground[0] == 1 for bar in outline(target.box_mm, grid)]
        return heading(box, "Edges", "slanted 5°", look) + Placed(targets=tuple(targets), bars=tuple(frames))


def draw(canvas: Canvas, target: Target) -> None:
    """Ink on the left of a vertical edge or above a horizontal one; the edge runs through the box's centre.

    Seen on the sheet it is turned clockwise by ``angle_deg`` from its direction.
    """
    canvas.fill(target.box_mm, target.ground)
    left, top, right, bottom = canvas.grid.box_dots(target.box_mm)
    angle = math.radians(target.angle_deg or 0.0)
    normal = (1.0, 0.0) if target.direction == "vertical" else (0.0, 1.0)
    turned = (
        normal[0] * math.cos(angle) - normal[1] * math.sin(angle),
        normal[0] * math.sin(angle) + normal[1] * math.cos(angle),
    )
    width, height = right - left, bottom - top
    cover = half_plane_cover((height, width), (width / 2, height / 2), turned)
    canvas.blend(left, top, cover, target.ink)
