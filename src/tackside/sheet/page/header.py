"""The head of a panel: the sheet's title or the panel's own, the facts of the print, and the tag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tackside.records import Caption, Tag
from tackside.sheet.canvas import Grid
from tackside.sheet.page import tags
from tackside.sheet.page.text import fitted_pt, width_mm
from tackside.sheet.placed import Placed
from tackside.units import MM_PER_POINT, Box

_GAP_MM = 3.0
_LEAST_WORDS_MM = 18.0


@dataclass(frozen=True)
class Head:
    """What is said at the head of a panel: a title, a line below it, and facts in small type."""

    title: str
    subtitle: str
    facts: tuple[str, ...]

    def of_panel(self, name: str) -> Head:
        return replace(self, facts=(f"Panel: {name}", *self.facts))


def tag_room_mm(text: str, module_mm: float, grid: Grid) -> float:
    """Side of the square that the tag needs with its quiet zone."""
    side = tags.tag_side_mm(text, grid, module_mm)
    return side + 2 * tags.quiet_mm(side, text)


def head_with_tag(
    inner: Box, head: Head, text: str, panel: str, grid: Grid
) -> tuple[Placed, Tag | None, Box]:
    """The words, the tag, and the box that is left under them.

    The tag stands at the right, the words at its left or below it; where there is no room for a tag, there is neither.
    """
    module = 0.6 if inner.w > 100 else 0.5
    room = tag_room_mm(text, module, grid)
    if room > inner.w or room > inner.h:
        return Placed(), None, inner
    tag = place_tag(inner, text, module, panel, grid)
    words = Box(inner.x, inner.y, inner.w - room - 1.0, room)
    if words.w > _LEAST_WORDS_MM:
        air = 3.0 if inner.w > 100 else 0.8
        return place_head(words, head), tag, inner.inset(0, room + air, 0, 0)
    below = Box(inner.x, inner.y + room, inner.w, 7.0)
    if inner.h - room < 50:
        return Placed(), tag, inner.inset(0, room + 0.8, 0, 0)
    return place_head(below, head), tag, inner.inset(0, room + below.h + 0.8, 0, 0)


def place_head(box: Box, head: Head) -> Placed:
    """Title, subtitle and facts, from the top of the box; facts that find no room are left out."""
    large = box.w > 75 and box.h > 18
    title_pt = fitted_pt(head.title, box.w, 22.0 if large else 12.5, "serif")
    cap = title_pt * MM_PER_POINT
    y = box.y + cap * 0.72
    captions = [Caption(text=head.title, x_mm=box.x, y_mm=y, size_pt=title_pt, face="serif")]
    sub_pt = fitted_pt(head.subtitle, box.w, 9.5 if large else 6.5, "serif-italic")
    y += sub_pt * MM_PER_POINT * 1.5
    captions.append(
        Caption(text=head.subtitle, x_mm=box.x, y_mm=y, size_pt=sub_pt, face="serif-italic", grey=0.25)
    )
    y += 1.2 if large else 0.6
    size = 6.2 if large else 4.8
    for x, baseline, text in _in_columns(head.facts, Box(box.x, y, box.w, box.bottom - y), size):
        captions.append(Caption(text=text, x_mm=x, y_mm=baseline, size_pt=size, face="sans", grey=0.3))
    return Placed(captions=tuple(captions))


def _in_columns(texts: Sequence[str], box: Box, size_pt: float) -> list[tuple[float, float, str]]:
    """Down, then across: x, baseline and text of each that fits."""
    leading = size_pt * MM_PER_POINT * 1.32
    rows = int((box.h + 0.35 * leading) / leading)
    placed, x, at = [], box.x, 0
    while rows > 0 and at < len(texts):
        column = list(texts[at : at + rows])
        wide = max(width_mm(text, size_pt) for text in column)
        if x + wide > box.right + 1e-6:
            break
        placed += [(x, box.y + leading * (row + 0.85), text) for row, text in enumerate(column)]
        x += wide + 2 * _GAP_MM
        at += rows
    return placed


def place_tag(corner: Box, text: str, module_mm: float, panel: str, grid: Grid) -> Tag:
    """The tag in the top right corner of a box, its quiet zone inside the box."""
    side = tags.tag_side_mm(text, grid, module_mm)
    quiet = tags.quiet_mm(side, text)
    return Tag(
        text=text, box_mm=grid.box(corner.right - side - quiet, corner.y + quiet, side, side), panel=panel
    )
