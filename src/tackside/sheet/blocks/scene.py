"""The scene: a photograph that was never taken, for the eye to judge the print by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.rgb_spaces import ADOBE_RGB, SRGB
from tackside.records import Target
from tackside.records.sheet_plan import Space
from tackside.sheet.canvas import Canvas
from tackside.sheet.grid import Grid
from tackside.sheet.page.headings import Look, heading
from tackside.sheet.placed import Placed
from tackside.sheet.scenery.picture import paint, to_bytes_dithered
from tackside.units import Box, Size

_NARROWEST, _WIDEST = 0.72, 3.6
_ROWS_AT_ONCE = 512


@dataclass(frozen=True)
class Scene:
    name: str = "scene"

    def least(self, look: Look) -> Size:
        return Size(44.0, look.heading_mm + 28.0)

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed:
        """The whole box, but never taller or flatter than the picture bears."""
        area = box.inset(0, look.heading_mm, 0, 0)
        height = min(area.h, area.w / _NARROWEST)
        width = min(area.w, height * _WIDEST)
        target = Target(
            kind="scene", name="scene", box_mm=grid.box(area.x, area.y, width, height), panel=panel
        )
        head = heading(
            Box(box.x, box.y, width, box.h), "Picture", "a harbour made by numbers, no camera", look
        )
        return head + Placed(targets=(target,))


def draw(canvas: Canvas, target: Target, space: Space | None) -> None:
    """The scene in the sheet's space; bare device numbers are those of sRGB, for want of a better rule."""
    left, top, right, bottom = canvas.grid.box_dots(target.box_mm)
    picture = paint(right - left, bottom - top)
    if space == "adobe-rgb":
        _into_adobe_rgb(picture)
    canvas.paste(to_bytes_dithered(picture), target.box_mm)


def _into_adobe_rgb(picture: NDArray[np.float32]) -> None:
    """The same colours in the wider space, in place, some rows at a time for the memory's sake."""
    matrix = (ADOBE_RGB.from_xyz_d50 @ SRGB.to_xyz_d50).T
    for start in range(0, picture.shape[0], _ROWS_AT_ONCE):
        rows = picture[start : start + _ROWS_AT_ONCE]
        linear = np.clip(SRGB.decode(rows.astype(np.float64)) @ matrix, 0, 1)
        rows[...] = ADOBE_RGB.encode(linear)
