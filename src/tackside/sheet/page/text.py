"""Small type: the shipped fonts, measured in mm and drawn with grey edges by FreeType."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tackside.records import Caption
from tackside.sheet.canvas import Canvas, Grid
from tackside.units import MM_PER_POINT

FACES = {
    "sans": "Cabin-Regular.otf",
    "sans-bold": "Cabin-Bold.otf",
    "sans-italic": "Cabin-Italic.otf",
    "serif": "Vollkorn-Regular.ttf",
    "serif-italic": "Vollkorn-Italic.ttf",
}
# Widths are taken at a large size, so that they do not depend on the grid.
_MEASURING_PX = 1000


@lru_cache(maxsize=256)
def _font(face: str, size_px: float) -> ImageFont.FreeTypeFont:
    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    with resources.as_file(file) as path, path.open("rb") as stream:
        return ImageFont.truetype(stream, size_px, layout_engine=ImageFont.Layout.BASIC)


def width_mm(text: str, size_pt: float, face: str = "sans", spacing_em: float = 0.0) -> float:
    """How long a line of type is, in mm, with ``spacing_em`` after each letter but the last."""
    ems = _font(face, _MEASURING_PX).getlength(text) / _MEASURING_PX
    return (ems + spacing_em * max(len(text) - 1, 0)) * size_pt * MM_PER_POINT


def fitted_pt(
    text: str, room_mm: float, size_pt: float, face: str = "sans", spacing_em: float = 0.0
) -> float:
    """The size at which the text fits the room: ``size_pt``, or smaller where it must be."""
    natural = width_mm(text, size_pt, face, spacing_em)
    return size_pt if natural <= room_mm else size_pt * room_mm / natural


def words_that_fit(text: str, room_mm: float, size_pt: float, face: str = "sans") -> str:
    """As many whole words from the start as the room takes; empty where not even one fits."""
    words = text.split()

    def long(count: int) -> float:
        return width_mm(" ".join(words[:count]), size_pt, face)

    return " ".join(words[: bisect_right(range(1, len(words) + 1), room_mm, key=long)])


def draw_caption(canvas: Canvas, caption: Caption) -> None:
    """Set one line on its baseline."""
    grey = (caption.grey,) * 3
    draw_line(
        canvas, caption.text, caption.x_mm, caption.y_mm, caption.size_pt, grey,
        face=caption.face, align=caption.align, spacing_em=caption.spacing_em,
    )  # fmt: skip


def draw_line(
    canvas: Canvas,
    text: str,
    x_mm: float,
    y_mm: float,
    size_pt: float,
    rgb: tuple[float, float, float],
    *,
    face: str = "sans",
    align: str = "left",
    spacing_em: float = 0.0,
) -> None:
    """Set text with its baseline at ``y_mm`` and its start, middle or end at ``x_mm``."""
    lay_line(canvas, rasterised(canvas.grid, text, size_pt, face, spacing_em), x_mm, y_mm, rgb, align)


@dataclass(frozen=True, eq=False)
class LineOfDots:
    """A line of type on a grid: its ``cover`` (h, w), 0 to 1, with the baseline in the middle row, the blank columns
    left of it, and its length in mm.
    """

    cover: NDArray[np.float32]
    pad: int
    room_mm: float


def lay_line(
    canvas: Canvas, line: LineOfDots, x_mm: float, y_mm: float, rgb: Sequence[float], align: str = "left"
) -> None:
    """Lay a line that was set on the canvas' own grid, as ``draw_line`` does."""
    start_mm = x_mm - {"left": 0.0, "centre": line.room_mm / 2, "right": line.room_mm}[align]
    left, top = canvas.grid.dots(start_mm) - line.pad, canvas.grid.dots(y_mm) - line.cover.shape[0] // 2
    canvas.blend(left, top, line.cover, rgb)


def rasterised(
    grid: Grid, text: str, size_pt: float, face: str = "sans", spacing_em: float = 0.0
) -> LineOfDots:
    """A line set on a grid, with grey edges."""
    room_mm = width_mm(text, size_pt, face, spacing_em)
    size_px = size_pt / 72.0 * grid.ppi
    font = _font(face, size_px)
    pad = int(size_px * 0.3) + 2
    half = int(size_px * 1.3) + 2
    mask = Image.new("L", (grid.dots(room_mm) + 2 * pad, 2 * half), 0)
    pen = ImageDraw.Draw(mask)
    if spacing_em == 0.0:
        pen.text((pad, half), text, fill=255, font=font, anchor="ls")
    else:
        at = float(pad)
        for letter in text:
            pen.text((at, half), letter, fill=255, font=font, anchor="ls")
            at += font.getlength(letter) + spacing_em * size_px
    return LineOfDots(np.asarray(mask, dtype=np.float32) / np.float32(255.0), pad, room_mm)
