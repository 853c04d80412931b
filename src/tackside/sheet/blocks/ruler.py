"""Rulers that run into an edge of the sheet: the first tick still seen tells how far the print has moved.

Numbers are millimetres from the sheet's edge as it should be. A ruler begins where the printer can
begin: at the very edge when it prints borderless, at the margin when it does not.
"""

from __future__ import annotations

from typing import Literal

from tackside.records import Target
from tackside.sheet.canvas import Canvas, Grid
from tackside.sheet.page.text import draw_line
from tackside.units import Box

Edge = Literal["left", "right", "top", "bottom"]
ALONG_MM = 7.0
_TICKS_MM = {10: 4.0, 5: 2.8, 1: 1.7}
_LINE_MM = 0.12


def ruler(edge: Edge, number: int, box: Box, panel: str, grid: Grid) -> Target:
    return Target(
        kind="ruler",
        name=f"ruler-{panel}-{edge}-{number}",
        box_mm=grid.box_within(box),
        panel=panel,
        direction="horizontal" if edge in ("left", "right") else "vertical",
    )


def draw(canvas: Canvas, target: Target, sheet_mm: tuple[float, float]) -> None:
    """Ticks at every whole mm from the edge named in the target, each as long as its rank."""
    grid, box = canvas.grid, target.box_mm
    edge = target.name.split("-")[-2]
    level = target.direction == "horizontal"
    near, far = (box.x, box.right) if level else (box.y, box.bottom)
    whole = sheet_mm[0] if level else sheet_mm[1]
    thin = grid.mm(max(grid.dots(_LINE_MM), 1))
    axis = (box.y + box.h) if level else (box.x + box.w)
    axis -= thin
    backwards = edge in ("right", "bottom")
    for mm in range(100):
        at = whole - mm if backwards else float(mm)
        if not near - 1e-6 <= at <= far - thin / 2:
            continue
        long = _TICKS_MM[10 if mm % 10 == 0 else 5 if mm % 5 == 0 else 1]
        start = grid.snapped(at - thin / 2)
        tick = Box(start, axis - long, thin, long) if level else Box(axis - long, start, long, thin)
        canvas.fill(tick, (0.0, 0.0, 0.0))
        room = 0.85 if level else 0.6  # half of a number's width, or of its height
        if mm % 5 == 0 and mm and abs(at - near) > room and abs(far - at) > room:
            _number(canvas, str(mm), at, axis, level)
    line = Box(near, axis, far - near, thin) if level else Box(axis, near, thin, far - near)
    canvas.fill(line, (0.0, 0.0, 0.0))


def _number(canvas: Canvas, text: str, at: float, axis: float, level: bool) -> None:
    reach = 3.3
    if level:
        draw_line(canvas, text, at, axis - reach - 0.9, 4.5, (0.0, 0.0, 0.0), align="centre")
    else:
        draw_line(canvas, text, axis - reach - 0.9, at + 0.55, 4.5, (0.0, 0.0, 0.0), align="right")
