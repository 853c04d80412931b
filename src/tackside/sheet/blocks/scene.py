"""The pictures: a harbour that was never photographed, or one's own picture in its place, and photographs about it.

They are for the eye to judge the print by. They share the block's own room, so that no other block moves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import ADOBE_RGB, SRGB
from tackside.records import Caption, Target
from tackside.records.sheet_plan import Space
from tackside.sheet.blocks.tiles import TileRoom, tile_room
from tackside.sheet.canvas import Canvas, Grid, Image
from tackside.sheet.page.headings import Look, heading
from tackside.sheet.placed import Placed
from tackside.sheet.scenery.noise import Plane
from tackside.sheet.scenery.picture import paint, to_bytes_dithered
from tackside.sheet.scenery.subjects import SUBJECTS, subject
from tackside.units import Box, Size

HARBOUR, OWN = "scene", "own picture"
DRAWN, WITH_PHOTOGRAPHS = "a harbour made by numbers, no camera", "a harbour made by numbers, and photographs"
BY_HAND = "your own"
_NARROWEST, _WIDEST = 0.72, 3.6
_ROWS_AT_ONCE = 512
_CAPTION_PT = 4.6


@dataclass(frozen=True)
class Scene:
    name: str = "scene"

    def least(self, look: Look) -> Size:
        return Size(44.0, look.heading_mm + 28.0)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        """The whole box, but never taller or flatter than the harbour bears; photographs where they leave it enough."""
        area = box.inset(0, look.heading_mm, 0, 0)
        room = tile_room(area, len(SUBJECTS))
        height = min(room.rest.h, room.rest.w / _NARROWEST)
        width = min(room.rest.w, height * _WIDEST)
        target = Target(
            kind="scene", name=HARBOUR, box_mm=grid.box(room.rest.x, room.rest.y, width, height), panel=panel
        )
        wide = max([width, *(tile.right - box.x for tile in room.tiles)])
        title, remark = ("Pictures", WITH_PHOTOGRAPHS) if room.tiles else ("Picture", DRAWN)
        head = heading(Box(box.x, box.y, wide, box.h), title, remark, look)
        return head + Placed(targets=(target,)) + _tiles(room, panel, grid)


def _tiles(room: TileRoom, panel: str, grid: Grid) -> Placed:
    """The first subjects, as many as there are tiles, each with its name below it."""
    shown = list(zip(SUBJECTS, room.tiles, strict=False))
    return Placed(
        targets=tuple(
            Target(kind="scene", name=each.name, box_mm=grid.box(*tile), panel=panel) for each, tile in shown
        ),
        captions=tuple(
            Caption(
                text=each.caption, x_mm=tile.x, y_mm=tile.bottom + 1.5, size_pt=_CAPTION_PT,
                face="sans-italic", grey=0.3,
            )
            for each, tile in shown
        ),
    )  # fmt: skip


def with_own(placed: Placed) -> Placed:
    """The same sheet with a picture of one's own in the harbour's place; the same where there is no harbour."""
    return replace(
        placed,
        targets=tuple(
            each.model_copy(update={"name": OWN}) if is_harbour(each) else each for each in placed.targets
        ),
        captions=tuple(
            each.model_copy(update={"text": BY_HAND}) if each.text in (DRAWN, WITH_PHOTOGRAPHS) else each
            for each in placed.captions
        ),
    )


def is_harbour(target: Target) -> bool:
    return target.kind == "scene" and target.name == HARBOUR


def is_own(target: Target) -> bool:
    """Whether a picture of one's own stands there."""
    return target.kind == "scene" and target.name == OWN


def draw(canvas: Canvas, target: Target, space: Space | None, own: Image | None = None) -> None:
    """A picture in the sheet's space; bare device numbers are those of sRGB, for want of a better rule.

    ``own`` is a picture of one's own, (h, w, 3) bytes in that space; it stands whole in the middle of its place.
    """
    left, top, right, bottom = canvas.grid.box_dots(target.box_mm)
    if is_own(target):
        if own is not None:
            canvas.paste(_in_the_middle(own, right - left, bottom - top), target.box_mm)
        return
    found = subject(target.name)
    wide = space == "adobe-rgb"
    size = right - left, bottom - top
    picture = _harbour(*size, wide=wide) if found is None else _in_bytes(found.draw(*size), wide=wide)
    canvas.paste(picture, target.box_mm)


@lru_cache(maxsize=2)
def _harbour(width: int, height: int, *, wide: bool) -> NDArray[np.uint8]:
    """The harbour's bytes, (height, width, 3).

    Sheets made one after the other mostly hold the same, and to paint it takes longer than all else on a sheet: the
    last two are kept, at most some 20 MB each.
    """
    drawn = _in_bytes(paint(width, height), wide=wide)
    drawn.flags.writeable = False
    return drawn


def _in_bytes(picture: Plane, *, wide: bool) -> NDArray[np.uint8]:
    if wide:
        _into_adobe_rgb(picture)
    return to_bytes_dithered(picture)


def _in_the_middle(own: Image, width: int, height: int) -> NDArray[np.uint8]:
    """The picture in its place, bare card about it."""
    place = np.full((height, width, 3), 255, dtype=np.uint8)
    shown = own[:height, :width]
    top, left = (height - shown.shape[0]) // 2, (width - shown.shape[1]) // 2
    place[top : top + shown.shape[0], left : left + shown.shape[1]] = shown
    return place


def _into_adobe_rgb(picture: Plane) -> None:
    """The same colours in the wider space, in place, some rows at a time for the memory's sake."""
    matrix = (ADOBE_RGB.from_xyz_d50 @ SRGB.to_xyz_d50).T
    for start in range(0, picture.shape[0], _ROWS_AT_ONCE):
        rows = picture[start : start + _ROWS_AT_ONCE]
        linear = np.clip(SRGB.decode(rows.astype(np.float64)) @ matrix, 0, 1)
        rows[...] = ADOBE_RGB.encode(linear)
