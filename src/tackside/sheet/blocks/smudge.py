"""The smudge block: solids that stay wet longest, fine white lines in them, and clear card to wipe into."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.records import Target
from tackside.sheet.canvas import Canvas
from tackside.sheet.grid import Grid
from tackside.sheet.headings import Look, heading, outline
from tackside.sheet.placed import Placed
from tackside.units import Box, Size

_INKS = ((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 0.6, 0.2))
_LINES_MM = (0.08, 0.12, 0.2, 0.3)
_SOLID_SHARE = 0.62


@dataclass(frozen=True)
class Smudge:
    name: str = "smudge"

    def least(self, look: Look) -> Size:
        return Size(16.0, look.heading_mm + 7.0)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        area = box.inset(0, look.heading_mm, 0, 0)
        height = min(area.h, 32.0)
        target = Target(
            kind="smudge", name="smudge", box_mm=grid.box(area.x, area.y, area.w, height), panel=panel
        )
        return heading(box, "Smudge", "wipe to the right", look) + Placed(
            targets=(target,), bars=outline(target.box_mm, grid)
        )


def draw(canvas: Canvas, target: Target) -> None:
    grid, box = canvas.grid, target.box_mm
    canvas.fill(box, target.ground)
    solid_w = box.w * _SOLID_SHARE
    tall = box.h / len(_INKS)
    for number, ink in enumerate(_INKS):
        strip = grid.box(
            box.x, box.y + number * tall, solid_w, tall - (0.0 if number == len(_INKS) - 1 else 0.4)
        )
        canvas.fill(strip, ink)
        for place, width in enumerate(_LINES_MM):
            dots = max(grid.dots(width), 1)
            x = strip.x + strip.w * (place + 1) / (len(_LINES_MM) + 1)
            canvas.fill(Box(grid.snapped(x), strip.y, grid.mm(dots), strip.h), (1.0, 1.0, 1.0))
