"""Ink on ink: fine lines that run from a yellow solid onto bare card, to see one ink creep into another.

The same line stands on both grounds, so whatever the printer and the scanner add to a line they add twice: only what
the wet field under it does is left. Black, blue and red on yellow, the pairs that the eye sees first (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tackside.records import Caption, Target
from tackside.sheet.blocks import lines
from tackside.sheet.canvas import Canvas, Grid
from tackside.sheet.page.headings import Look, heading
from tackside.sheet.placed import Placed
from tackside.units import Box, Size

Ink = tuple[float, float, float]
FIELD: Ink = (1.0, 1.0, 0.0)
CARD: Ink = (1.0, 1.0, 1.0)
# In the order in which they are kept when room is short.
INKS: tuple[tuple[str, Ink], ...] = (
    ("black", (0.0, 0.0, 0.0)),
    ("blue", (0.0, 0.0, 1.0)),
    ("red", (1.0, 0.0, 0.0)),
)
# Finer lines never reach their own depth in a flatbed's blur (``reading.scan.lines``).
WIDTHS_MM = (0.3, 0.5)
_CLEAR_MM = 1.0  # ground that goes with each line, half of it on either side
_SET_MM = sum(WIDTHS_MM) + _CLEAR_MM * len(WIDTHS_MM)
_LEAST_HALF_MM, _MOST_HALF_MM = 2.5, 7.0  # of a line's length, on either ground
_INNER_GAP_MM, _PAIR_GAP_MM, _ROW_GAP_MM = 1.0, 1.5, 0.8
_LEAST_PAIR_MM = _SET_MM + _INNER_GAP_MM + 2 * _LEAST_HALF_MM
_MOST_PAIR_MM = 28.0
_LABEL_MM, _LABEL_PT = 1.6, 4.6


@dataclass(frozen=True)
class Bleed:
    name: str = "ink on ink"

    def least(self, look: Look) -> Size:
        return Size(_LEAST_PAIR_MM, look.heading_mm + 2 * _LEAST_HALF_MM + _LABEL_MM)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        """As many inks as fit, each as a pair: lines along the height, lines along the width."""
        room = box.inset(0, look.heading_mm, 0, 0)
        across, rows = _cut(room)
        cell_w = (room.w - (across - 1) * _PAIR_GAP_MM) / across
        cell_h = (room.h - (rows - 1) * _ROW_GAP_MM) / rows
        tall = min(cell_h - _LABEL_MM, 2 * _MOST_HALF_MM)
        placed = heading(box, "Ink on ink", "lines from yellow onto card", look)
        for number, ink in enumerate(INKS[: rows * across]):
            row, column = divmod(number, across)
            cell = Box(
                room.x + column * (cell_w + _PAIR_GAP_MM),
                room.y + row * (tall + _LABEL_MM + _ROW_GAP_MM),
                min(cell_w, _MOST_PAIR_MM),
                tall,
            )
            placed += _pair(ink, cell, panel, grid)
        return placed


def _cut(room: Box) -> tuple[int, int]:
    """Inks side by side and rows of them: as many inks as fit; those side by side stand taller."""
    most_across = min(int((room.w + _PAIR_GAP_MM + 1e-6) / (_LEAST_PAIR_MM + _PAIR_GAP_MM)), len(INKS))
    one_row = 2 * _LEAST_HALF_MM + _LABEL_MM + _ROW_GAP_MM
    most_rows = min(int((room.h + _ROW_GAP_MM + 1e-6) / one_row), len(INKS))
    cuts = [(across, rows) for across in range(1, most_across + 1) for rows in range(1, most_rows + 1)]
    fitting = [cut for cut in cuts if cut[0] * cut[1] <= len(INKS)]
    return max(fitting, key=lambda cut: (cut[0] * cut[1], cut[0]), default=(1, 1))


def _pair(ink: tuple[str, Ink], cell: Box, panel: str, grid: Grid) -> Placed:
    upright_w = min(max(0.36 * cell.w, _SET_MM), 1.5 * cell.h)
    level_x = cell.x + upright_w + _INNER_GAP_MM
    upright = Box(cell.x, cell.y, upright_w, cell.h)
    level = Box(level_x, cell.y, min(cell.right - level_x, 2 * _MOST_HALF_MM), cell.h)
    targets = (*_set(ink, "vertical", upright, panel, grid), *_set(ink, "horizontal", level, panel, grid))
    label = Caption(
        text=ink[0], x_mm=cell.x, y_mm=cell.bottom + 1.45, size_pt=_LABEL_PT, face="sans-italic", grey=0.3
    )
    return Placed(targets=targets, captions=(label,))


def _set(ink: tuple[str, Ink], direction: str, box: Box, panel: str, grid: Grid) -> Iterator[Target]:
    """Two lines side by side that share the box, each with the same clear ground on both sides."""
    name, colour = ink
    upright = direction == "vertical"
    clear = ((box.w if upright else box.h) - sum(WIDTHS_MM)) / len(WIDTHS_MM)
    at = 0.0
    for width in WIDTHS_MM:
        slot = width + clear
        part = Box(box.x + at, box.y, slot, box.h) if upright else Box(box.x, box.y + at, box.w, slot)
        yield Target(
            kind="bleed", name=f"bleed-{name}-{direction}-{width:.2f}", box_mm=_snapped(part, grid),
            panel=panel, ink=colour, ground=FIELD, direction=direction,
            width_mm=grid.mm(max(grid.dots(width), 1)),
        )  # fmt: skip
        at += slot


def _snapped(box: Box, grid: Grid) -> Box:
    """Snapped by its edges, so that neighbours meet without a seam."""
    left, top, right, bottom = (grid.snapped(edge) for edge in (box.x, box.y, box.right, box.bottom))
    return Box(left, top, right - left, bottom - top)


def halves(target: Target, grid: Grid) -> tuple[Target, Target]:
    """The line on its field and the same line on bare card, each as a line target."""
    box = target.box_mm
    if target.direction == "vertical":
        half = grid.snapped(box.h / 2)
        field, card = Box(box.x, box.y, box.w, half), Box(box.x, box.y + half, box.w, box.h - half)
    else:
        half = grid.snapped(box.w / 2)
        field, card = Box(box.x, box.y, half, box.h), Box(box.x + half, box.y, box.w - half, box.h)
    line = {"kind": "line", "ink": target.ink, "direction": target.direction, "width_mm": target.width_mm}
    return (
        target.model_copy(update={**line, "name": f"{target.name} on its field", "box_mm": field}),
        target.model_copy(update={**line, "name": f"{target.name} on card", "box_mm": card, "ground": CARD}),
    )


def draw(canvas: Canvas, target: Target) -> None:
    for half in halves(target, canvas.grid):
        lines.draw(canvas, half)
