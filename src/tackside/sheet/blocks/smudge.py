"""The smudge block: solids that stay wet longest, fine white lines in them, and clear card to wipe into.

Under it stands how to wipe it without hurting anything: this is where the finger is.
"""

from __future__ import annotations

from dataclasses import dataclass

from tackside.cautions import SMUDGE_ON_SHEET
from tackside.records import Caption, Target
from tackside.sheet.canvas import Canvas, Grid
from tackside.sheet.page.headings import Look, heading, outline, remark_room
from tackside.sheet.page.text import width_mm
from tackside.sheet.placed import Placed
from tackside.units import MM_PER_POINT, Box, Size

INK_NAMES = ("black", "blue", "red", "green")
_INKS = ((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 0.6, 0.2))
_TITLE, _TITLE_TIGHT = "Smudge", "Wipe »"  # the latter says the way where no remark has room for it
_WAYS = ("wipe to the right", "wipe right", "wipe »", "»")  # the first that stands beside the title
_LINES_MM = (0.08, 0.12, 0.2, 0.3)
_SOLID_SHARE = 0.62
# The caution where there is no room for it at the size of headings, and the least height of the block itself.
_SMALL_PT = 4.8
_LEAST_W_MM, _LEAST_H_MM = 16.0, 7.0
# In sizes: from line to line, and from the baseline to the foot of the line.
_LEADING, _DESCENT = 1.3, 0.28


@dataclass(frozen=True)
class Smudge:
    name: str = "smudge"

    def least(self, look: Look) -> Size:
        told = _told(_LEAST_W_MM, _LEAST_H_MM, look)
        return Size(_LEAST_W_MM, look.heading_mm + _LEAST_H_MM + told.height_mm)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        told = _told(box.w, box.h - look.heading_mm, look)
        area = box.inset(0, look.heading_mm, 0, told.height_mm)
        height = min(area.h, 32.0)
        target = Target(
            kind="smudge", name="smudge", box_mm=grid.box(area.x, area.y, area.w, height), panel=panel
        )
        return (
            heading(box, told.title, told.beside_title, look)
            + told.under(target.box_mm)
            + Placed(targets=(target,), bars=outline(target.box_mm, grid))
        )


@dataclass(frozen=True)
class _Told:
    """What is written round the block: a remark beside its title, and the caution, or the rest of it, below."""

    beside_title: str
    below: tuple[str, ...]
    size_pt: float
    title: str = _TITLE

    @property
    def height_mm(self) -> float:
        return len(self.below) * _LEADING * self.size_pt * MM_PER_POINT

    def under(self, block: Box) -> Placed:
        em = self.size_pt * MM_PER_POINT
        return Placed(
            captions=tuple(
                Caption(
                    text=line, x_mm=block.x, y_mm=block.bottom + (number * _LEADING - _DESCENT) * em,
                    size_pt=self.size_pt, face="sans-italic", grey=0.1,
                )
                for number, line in enumerate(self.below, start=1)
            )
        )  # fmt: skip


def _told(room_mm: float, height_mm: float, look: Look) -> _Told:
    """How to wipe, and the caution: in one line below, large where that fits, or begun beside the title, or in two."""
    caution, remark = str(SMUDGE_ON_SHEET), _remark(room_mm, look)
    large = _Told(remark, (caution,), look.heading_pt)
    if _width(caution, look.heading_pt) <= room_mm and height_mm - large.height_mm >= _LEAST_H_MM:
        return large
    if _width(caution, _SMALL_PT) <= room_mm:
        return _Told(remark, (caution,), _SMALL_PT)
    first, _, rest = caution.partition(", ")
    two = _Told(remark, (f"{first},", rest), _SMALL_PT)
    is_low = height_mm - two.height_mm < _LEAST_H_MM
    for title in (_TITLE, _TITLE_TIGHT) if is_low else ():
        begun = f"{first}," if title == _TITLE_TIGHT else f"» {first},"
        if _width(begun, look.heading_pt) <= remark_room(title, room_mm, look):
            return _Told(begun, (rest,), _SMALL_PT, title)
    return two


def _remark(room_mm: float, look: Look) -> str:
    """Which way to wipe, in as many words as stand beside the title."""
    room = remark_room(_TITLE, room_mm, look)
    return next((each for each in _WAYS if _width(each, look.heading_pt) <= room), _WAYS[-1])


def _width(text: str, size_pt: float) -> float:
    return width_mm(text, size_pt, "sans-italic")


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
