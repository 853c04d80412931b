"""Type from 3 to 12 pt, positive and reversed: the smallest line that still reads is judged by eye."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Target
from tackside.sheet.canvas import Canvas, Grid
from tackside.sheet.page.headings import Look, heading
from tackside.sheet.page.text import draw_line, width_mm, words_that_fit
from tackside.sheet.placed import Placed
from tackside.units import MM_PER_POINT, Box, Size

SIZES_PT = (3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0)
# When room is short these go first.
_DISPENSABLE_PT = (9.0, 7.0, 12.0, 10.0, 8.0)
# The longest that fits is set; the short ones serve large type in narrow columns.
SENTENCES = (
    "Herring gulls drift over the quay while five boxes of ink dry slowly in the warm lamp light of the shed",
    "Quiet quay, grey gulls",
    "Quiet quay",
    "Quay",
    "ink",
)
_LEADING = 1.32
_PAD_MM = 0.8
_GAP_MM = 1.6
_LEAST_W_MM = 11.0


def _height_mm(sizes: tuple[float, ...]) -> float:
    return sum(sizes) * MM_PER_POINT * _LEADING + 2 * _PAD_MM


@dataclass(frozen=True)
class Specimen:
    name: str = "type"

    def least(self, look: Look) -> Size:
        return Size(2 * _LEAST_W_MM + _GAP_MM, look.heading_mm + _height_mm((3.0, 4.0, 5.0, 6.0)))

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        room = box.inset(0, look.heading_mm, 0, 0)
        sizes: tuple[float, ...] = SIZES_PT
        for size in _DISPENSABLE_PT:
            if _height_mm(sizes) <= room.h:
                break
            sizes = tuple(kept for kept in sizes if kept != size)
        half = (room.w - _GAP_MM) / 2
        height = min(room.h, _height_mm(sizes) * 1.25)
        leading = (height - 2 * _PAD_MM) / (sum(sizes) * MM_PER_POINT)
        targets: list[Target] = []
        columns = (("positive", 0.0, 1.0, room.x), ("reversed", 1.0, 0.0, room.x + half + _GAP_MM))
        for name, ink, ground, x in columns:
            y = room.y + _PAD_MM
            for size in sizes:
                tall = size * MM_PER_POINT * leading
                first, last = size == sizes[0], size == sizes[-1]
                top = y - (_PAD_MM if first else 0.0)
                slot = Box(x, top, half, tall + _PAD_MM * (first + last))
                targets.append(
                    Target(
                        kind="text", name=f"text-{name}-{size:02.0f}", box_mm=_snapped(slot, grid),
                        panel=panel, ink=(ink,) * 3, ground=(ground,) * 3, size_pt=size,
                    )
                )  # fmt: skip
                y += tall
        return heading(box, "Type", f"{sizes[0]:.0f} to {sizes[-1]:.0f} pt", look) + Placed(
            targets=tuple(targets)
        )


def _snapped(box: Box, grid: Grid) -> Box:
    """Snapped by its edges, so that neighbours meet without a seam."""
    left, top, right, bottom = (grid.snapped(edge) for edge in (box.x, box.y, box.right, box.bottom))
    return Box(left, top, right - left, bottom - top)


def draw(canvas: Canvas, target: Target) -> None:
    canvas.fill(target.box_mm, target.ground)
    text, x_mm, baseline_mm = line_of(target)
    draw_line(canvas, text, x_mm, baseline_mm, target.size_pt or 6.0, target.ink)


def line_of(target: Target) -> tuple[str, float, float]:
    """The text of a line, and where it starts and stands, mm."""
    box, size = target.box_mm, target.size_pt or 6.0
    inset = 0.0 if target.ground[0] > 0.5 else 1.2
    room = box.w - inset - 1.0
    fitting = [words_that_fit(f"{size:.0f} {sentence}", room, size).rstrip(",") for sentence in SENTENCES]
    text = max(fitting, key=lambda line: width_mm(line, size))
    return text, box.x + inset, box.y + box.h / 2 + size * MM_PER_POINT * 0.3
