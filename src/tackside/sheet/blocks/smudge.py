"""The smudge block: solids that stay wet longest, fine white lines in them, and clear card to wipe into."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.records import Target
from tackside.sheet.canvas import Canvas
from tackside.sheet.grid import Grid
from tackside.sheet.headings import Look, heading, outline
from tackside.sheet.placed import Placed
from tackside.units import Box, Size

INK_NAMES = ("black", "blue", "red", "green")
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
    for strip, ink in zip(_strips(box, grid), _INKS, strict=True):
        canvas.fill(strip, ink)
        for line in _lines(strip, grid):
            canvas.fill(line, (1.0, 1.0, 1.0))


def white_lines(target: Target, grid: Grid) -> tuple[tuple[Target, ...], ...]:
    """The white lines in each solid, in the order of ``INK_NAMES``, as line targets in reach of their neighbours."""
    strips = _strips(target.box_mm, grid)
    return tuple(
        tuple(_line_target(line, strip, ink, target.panel) for line in _lines(strip, grid))
        for strip, ink in zip(strips, _INKS, strict=True)
    )


def clear_card(target: Target) -> tuple[Box, ...]:
    """The card right of each solid, well clear of the solid and of the block's outline."""
    box = target.box_mm
    left, tall = box.x + box.w * _SOLID_SHARE + 0.5, box.h / len(_INKS)
    width = box.right - 0.5 - left
    return tuple(Box(left, box.y + number * tall + 0.5, width, tall - 1.0) for number in range(len(_INKS)))


def _strips(box: Box, grid: Grid) -> tuple[Box, ...]:
    tall, last = box.h / len(_INKS), len(_INKS) - 1
    return tuple(
        grid.box(box.x, box.y + number * tall, box.w * _SOLID_SHARE, tall - (0.0 if number == last else 0.4))
        for number in range(len(_INKS))
    )


def _lines(strip: Box, grid: Grid) -> tuple[Box, ...]:
    parts = len(_LINES_MM) + 1
    return tuple(
        Box(
            grid.snapped(strip.x + strip.w * place / parts),
            strip.y,
            grid.mm(max(grid.dots(width), 1)),
            strip.h,
        )
        for place, width in enumerate(_LINES_MM, start=1)
    )


def _line_target(line: Box, strip: Box, ink: tuple[float, float, float], panel: str) -> Target:
    reach = strip.w / (len(_LINES_MM) + 1) * 0.45
    around = Box(line.centre[0] - reach, line.y, 2 * reach, line.h)
    return Target(
        kind="line", name="line in a solid", box_mm=around, panel=panel,
        ink=(1.0, 1.0, 1.0), ground=ink, direction="vertical", width_mm=line.w,
    )  # fmt: skip
