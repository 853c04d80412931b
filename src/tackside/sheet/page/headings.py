"""Headings of blocks: a hairline, a name in small bold type, a remark at the right where there is room."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Bar, Caption
from tackside.sheet.canvas import Grid
from tackside.sheet.page.text import width_mm
from tackside.sheet.placed import Placed
from tackside.units import Box

_HAIRLINE_MM = 0.1


@dataclass(frozen=True)
class Look:
    """How much air the furniture takes: ``ROOMY``, or ``COMPACT`` where patches want every millimetre."""

    heading_mm: float
    baseline_mm: float
    heading_pt: float
    section_gap_mm: float
    gap_mm: float
    column_gap_mm: float


ROOMY = Look(
    heading_mm=4.2, baseline_mm=2.85, heading_pt=6.4, section_gap_mm=2.4, gap_mm=4.5, column_gap_mm=4.5
)
COMPACT = Look(
    heading_mm=2.9, baseline_mm=2.05, heading_pt=4.8, section_gap_mm=1.2, gap_mm=1.8, column_gap_mm=2.4
)


def heading(box: Box, title: str, remark: str, look: Look) -> Placed:
    """Across the top of ``box``; takes ``look.heading_mm`` of height, what is left below the type is air."""
    size, baseline = look.heading_pt, box.y + look.baseline_mm
    captions = [Caption(text=title, x_mm=box.x, y_mm=baseline, size_pt=size, face="sans-bold", grey=0.1)]
    if remark and width_mm(remark, size, "sans-italic") <= remark_room(title, box.w, look):
        captions.append(
            Caption(
                text=remark, x_mm=box.right, y_mm=baseline, size_pt=size,
                face="sans-italic", align="right", grey=0.35,
            )
        )  # fmt: skip
    line = Bar(box_mm=Box(box.x, box.y, box.w, _HAIRLINE_MM), grey=0.5)
    return Placed(captions=tuple(captions), bars=(line,))


def remark_room(title: str, room_mm: float, look: Look) -> float:
    """What a title leaves for a remark beside it, in mm, in a block so wide."""
    return room_mm - width_mm(title, look.heading_pt, "sans-bold") - 2.0


def outline(box: Box, grid: Grid) -> tuple[Bar, ...]:
    """A faint hairline just outside a box that is white on white card."""
    thin = grid.mm(max(grid.dots(_HAIRLINE_MM), 1))
    sides = (
        Box(box.x - thin, box.y - thin, box.w + 2 * thin, thin),
        Box(box.x - thin, box.bottom, box.w + 2 * thin, thin),
        Box(box.x - thin, box.y, thin, box.h),
        Box(box.right, box.y, thin, box.h),
    )
    return tuple(Bar(box_mm=side, grey=0.65) for side in sides)
