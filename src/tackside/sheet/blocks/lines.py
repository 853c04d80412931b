"""Lines from 0.05 to 1 mm, across and along the feed, in black, reversed and coloured.

A line is a whole number of dots wide, so that the printer need not mix greys for its edges; its target
says the width that is really in the file. It stands in the middle of its target's box.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tackside.records import Bar, Caption, Target
from tackside.sheet.canvas import Canvas, Grid
from tackside.sheet.page.headings import Look, heading
from tackside.sheet.page.text import width_mm
from tackside.sheet.placed import Placed
from tackside.units import Box, Size

WIDTHS_MM = (0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.75, 1.0)
Ink = tuple[float, float, float]
BLACK, WHITE = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
# name, ink, ground: in the order in which they are kept when room is short
INKS: tuple[tuple[str, Ink, Ink], ...] = (
    ("black", BLACK, WHITE),
    ("reversed", WHITE, BLACK),
    ("magenta", (1.0, 0.0, 1.0), WHITE),
    ("cyan", (0.0, 1.0, 1.0), WHITE),
    ("blue", (0.0, 0.0, 1.0), WHITE),
    ("red", (1.0, 0.0, 0.0), WHITE),
    ("green", (0.0, 1.0, 0.0), WHITE),
    ("yellow", (1.0, 1.0, 0.0), WHITE),
)
# Clear ground between neighbouring lines, and the room of one set of eight.
_CLEAR_MM = 0.56
_SET_MM = sum(WIDTHS_MM) + _CLEAR_MM * len(WIDTHS_MM)
_BEST_SET_MM = 12.0
# Where a set is too narrow for every width in figures, these come first; each stands where it touches no other.
_TOLD_FIRST_MM = (0.05, 1.0, 0.3, 0.15, 0.5, 0.1, 0.2, 0.75)
_LABEL_APART_MM = 0.35
_LABEL_MM = 1.6
_BELOW_MM = 1.3  # from the block to the figures in the gap below it, which is 1.8 mm at least
_LABEL_PT = 4.2
_GAP_MM = 1.0
_PAIR_GAP_MM = 1.5


@dataclass(frozen=True)
class Lines:
    name: str = "lines"

    def least(self, look: Look) -> Size:
        return Size(2 * _SET_MM + _GAP_MM, look.heading_mm + _SET_MM + _LABEL_MM)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        """As many inks as fit, each as a pair: lines along the height, lines along the width."""
        room = box.inset(0, look.heading_mm, 0, 0)
        rows, across, label = _cut(room)
        inks = INKS[: rows * across]
        cell_w = (room.w - (across - 1) * _PAIR_GAP_MM) / across
        cell_h = (room.h - (rows - 1) * _GAP_MM) / rows
        placed = heading(box, "Lines", "0.05 to 1 mm", look)
        for number, ink in enumerate(inks):
            row, column = divmod(number, across)
            cell = Box(
                room.x + column * (cell_w + _PAIR_GAP_MM), room.y + row * (cell_h + _GAP_MM), cell_w, cell_h
            )
            placed += _pair(ink, cell, label, panel, grid)
            if label == 0 and row == rows - 1:
                # No room between the rows: the figures of all stand once, in the gap below the block.
                lines = [each for each in placed.targets if each.name.startswith(f"line-{ink[0]}-vertical")]
                end = cell.x + (cell_w - _GAP_MM) / 2 + _GAP_MM - _LABEL_APART_MM
                placed += Placed(captions=tuple(_widths_told(lines, cell.bottom + _BELOW_MM, cell.x, end)))
        return placed


def _cut(room: Box) -> tuple[int, int, float]:
    """Rows, pairs in a row, and room for labels: as many inks as fit at a good size.

    Where that is fewer than three the sets shrink, and at last the labels go.
    """
    best, best_label = (0, 0), _LABEL_MM
    smaller = (_BEST_SET_MM + _SET_MM) / 2
    for side, label in (
        (_BEST_SET_MM, _LABEL_MM),
        (smaller, _LABEL_MM),
        (_SET_MM, _LABEL_MM),
        (_SET_MM, 0.0),
    ):
        across = max(int((room.w + _PAIR_GAP_MM) / (2 * side + _GAP_MM + _PAIR_GAP_MM)), 1)
        rows = max(int((room.h + _GAP_MM) / (side + label + _GAP_MM)), 1)
        cut = max(_full_rows(across, rows), key=lambda cut: (cut[0] * cut[1], cut[0]))
        if cut[0] * cut[1] > best[0] * best[1]:
            best, best_label = cut, label
        if best[0] * best[1] >= 3:
            break
    return *best, best_label


def _full_rows(most_across: int, most_rows: int) -> Iterator[tuple[int, int]]:
    """Rows and pairs in a row that leave no gap and need no more inks than there are."""
    for across in range(1, most_across + 1):
        for rows in range(1, most_rows + 1):
            if rows * across <= len(INKS):
                yield rows, across


def _pair(ink: tuple[str, Ink, Ink], cell: Box, label_mm: float, panel: str, grid: Grid) -> Placed:
    half = (cell.w - _GAP_MM) / 2
    height = min(cell.h - label_mm, 1.5 * half)
    upright = Box(cell.x, cell.y, half, height)
    level = Box(cell.x + half + _GAP_MM, cell.y, half, height)
    if label_mm == 0:
        return _set(ink, "vertical", upright, panel, grid) + _set(ink, "horizontal", level, panel, grid)
    baseline = cell.y + height + 1.45
    name = Caption(
        text=ink[0], x_mm=level.x, y_mm=baseline, size_pt=_LABEL_PT + 0.4, face="sans-italic", grey=0.3
    )
    sets = _set(ink, "vertical", upright, panel, grid) + _set(ink, "horizontal", level, panel, grid)
    upright_lines = sets.targets[: len(WIDTHS_MM)]
    return sets + Placed(
        captions=(name, *_widths_told(upright_lines, baseline, upright.x, level.x - _LABEL_APART_MM))
    )


def _widths_told(
    lines: Sequence[Target], baseline: float, start_mm: float, end_mm: float
) -> Iterator[Caption]:
    """The widths of the upright lines in figures below them: all where there is room, else as many as stay apart.

    They keep within the block, since a mark may stand beside it.
    """
    middles = {width: target.box_mm.centre[0] for width, target in zip(WIDTHS_MM, lines, strict=True)}
    taken: list[tuple[float, float]] = []
    for width in _TOLD_FIRST_MM:
        text = f"{width:g}".removeprefix("0")
        half = width_mm(text, _LABEL_PT) / 2
        middle = max(middles[width], start_mm + half)
        start, end = middle - half, middle + half
        if end > end_mm or any(
            start < other_end + _LABEL_APART_MM and end > other_start - _LABEL_APART_MM
            for other_start, other_end in taken
        ):
            continue
        taken.append((start, end))
        yield Caption(text=text, x_mm=middle, y_mm=baseline, size_pt=_LABEL_PT, align="centre", grey=0.3)


def _set(ink: tuple[str, Ink, Ink], direction: str, box: Box, panel: str, grid: Grid) -> Placed:
    """Eight lines side by side that share the box, each with the same clear ground on both sides."""
    name, colour, ground = ink
    span = box.w if direction == "vertical" else box.h
    clear = (span - sum(WIDTHS_MM)) / len(WIDTHS_MM)
    targets, at = [], 0.0
    for width in WIDTHS_MM:
        room = width + clear
        if direction == "vertical":
            slot = grid.box(box.x + at, box.y, room - 2 * grid.mm(1), box.h)
        else:
            slot = grid.box(box.x, box.y + at, box.w, room - 2 * grid.mm(1))
        targets.append(
            Target(
                kind="line", name=f"line-{name}-{direction}-{width:.2f}", box_mm=slot, panel=panel,
                ink=colour, ground=ground, direction=direction,
                width_mm=grid.mm(max(grid.dots(width), 1)),
            )
        )  # fmt: skip
        at += room
    bars: tuple[Bar, ...] = ()
    if ground == BLACK:
        bars = (Bar(box_mm=grid.box(box.x, box.y, box.w, box.h), grey=0.0),)
    return Placed(targets=tuple(targets), bars=bars)


def draw(canvas: Canvas, target: Target) -> None:
    """The ground, and the line in the middle of it, to the dot."""
    grid = canvas.grid
    canvas.fill(target.box_mm, target.ground)
    left, top, right, bottom = grid.box_dots(target.box_mm)
    dots = grid.dots(target.width_mm or 0.0)
    if target.direction == "vertical":
        left += (right - left - dots) // 2
        right = left + dots
    else:
        top += (bottom - top - dots) // 2
        bottom = top + dots
    canvas.fill(Box(grid.mm(left), grid.mm(top), grid.mm(right - left), grid.mm(bottom - top)), target.ink)
