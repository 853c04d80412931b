"""The frame of a panel: marks in its corners and along its sides, rulers into the sheet's edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.records import Mark, SheetPanel, Target
from tackside.sheet.blocks import ruler
from tackside.sheet.canvas import Grid
from tackside.sheet.page import marks as fiducials
from tackside.units import Box, Size

# Kept clear on each side of a crease: position repeats to about 1 mm, and the coating cracks there.
CREASE_CLEAR_MM = 3.5
# Kept clear at the sheet's edge: borderless printing enlarges by up to 4 mm (docs/sources.md, S15).
EDGE_CLEAR_MM = 4.0
# A further mark in the middle of a side longer than this.
_LONG_SIDE_MM = 110.0
_NEAR = 0.05
_SHORT_OF_BLOCKS_MM = 0.8


@dataclass(frozen=True)
class PanelGround:
    """A panel made ready: where blocks may stand, how wide its frame is, which sides are the sheet's own."""

    panel: SheetPanel
    usable: Box
    band_mm: float
    mark_mm: float
    outer: tuple[ruler.Edge, ...]

    @property
    def inner(self) -> Box:
        return self.usable.shrunk(self.band_mm)


def ground(panel: SheetPanel, size: Size, grid: Grid) -> PanelGround:
    """The panel without margins, crease and edge clearance; marks grow a little with the panel."""
    trim = panel.trim
    touches: dict[ruler.Edge, bool] = {
        "left": trim.x < _NEAR,
        "right": trim.right > size.w - _NEAR,
        "top": trim.y < _NEAR,
        "bottom": trim.bottom > size.h - _NEAR,
    }
    clear = {edge: EDGE_CLEAR_MM if outer else CREASE_CLEAR_MM for edge, outer in touches.items()}
    usable = trim.inset(clear["left"], clear["top"], clear["right"], clear["bottom"])
    within = _common(usable, panel.printable)
    short = min(within.w, within.h)
    mark = fiducials.mark_side_mm(5.0 if short < 85 else 6.0 if short < 190 else 7.0, grid)
    band = mark + fiducials.quiet_mm(mark) + 0.4
    return PanelGround(panel, within, band, mark, tuple(edge for edge, outer in touches.items() if outer))


def _common(usable: Box, printable: Box) -> Box:
    """Their shared part, or a box of no area: a panel may lie wholly in the margins."""
    if min(usable.w, usable.h, printable.w, printable.h) <= 0:
        return Box(usable.x, usable.y, 0.0, 0.0)
    return usable.intersection(printable) or Box(usable.x, usable.y, 0.0, 0.0)


def place_marks(on: PanelGround, first_id: int, spare_ids: int, grid: Grid) -> tuple[Mark, ...]:
    """Four corners, then the middles of the long sides as far as ids go."""
    area, side = on.usable, on.mark_mm
    left, right = area.x, area.right - side
    top, bottom = area.y, area.bottom - side
    middle_x, middle_y = area.x + (area.w - side) / 2, area.y + (area.h - side) / 2
    places = [(left, top), (right, top), (right, bottom), (left, bottom)]
    if area.w > _LONG_SIDE_MM:
        places += [(middle_x, top), (middle_x, bottom)]
    if area.h > _LONG_SIDE_MM:
        places += [(left, middle_y), (right, middle_y)]
    return tuple(
        Mark(
            id=first_id + number, box_mm=_within(grid.box(x, y, side, side), area, grid), panel=on.panel.name
        )
        for number, (x, y) in enumerate(places[: 4 + spare_ids])
    )


def _within(box: Box, area: Box, grid: Grid) -> Box:
    """Snapping may push a corner mark out by half a dot: pull it back by one."""
    dot = grid.mm(1)
    x = box.x + dot * ((box.x < area.x) - (box.right > area.right))
    y = box.y + dot * ((box.y < area.y) - (box.bottom > area.bottom))
    return Box(x, y, box.w, box.h)


def place_rulers(on: PanelGround, marks: Sequence[Mark], grid: Grid) -> tuple[Target, ...]:
    """One ruler in each outer side, two where it is long, from the printer's reach almost to the blocks.

    On a side so short that marks leave no room for it, there is none.
    """
    targets = []
    reach, inner = on.panel.printable, on.inner
    depth = on.inner.shrunk(-_SHORT_OF_BLOCKS_MM)
    for edge in on.outer:
        level = edge in ("left", "right")
        start, length = (inner.y, inner.h) if level else (inner.x, inner.w)
        long = (on.usable.h if level else on.usable.w) > _LONG_SIDE_MM
        for number, share in enumerate((0.25, 0.75) if long else (0.5,), 1):
            at = start + length * share - ruler.ALONG_MM / 2
            box = {
                "left": Box(reach.x, at, depth.x - reach.x, ruler.ALONG_MM),
                "right": Box(depth.right, at, reach.right - depth.right, ruler.ALONG_MM),
                "top": Box(at, reach.y, ruler.ALONG_MM, depth.y - reach.y),
                "bottom": Box(at, depth.bottom, ruler.ALONG_MM, reach.bottom - depth.bottom),
            }[edge]
            if not any(box.intersection(fiducials.with_quiet_zone(mark)) for mark in marks):
                targets.append(ruler.ruler(edge, number, box, on.panel.name, grid))
    return tuple(targets)
