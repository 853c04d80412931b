"""A face of the card as pixels on the printer's grid."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tackside.bench.records.sheet_plan import Space
from tackside.card.layout import CardFace
from tackside.card.pictures import PlacedPicture
from tackside.card.texts import PlacedText
from tackside.picture import pixels_for
from tackside.units import MM_PER_POINT, Box, mm_to_px

Pixels = NDArray[np.uint8]


def render(face: CardFace, ppi: float, space: Space) -> Pixels:
    """The whole open sheet, (h, w, 3), 8 bits, in the numbers of ``space``; white where nothing stands."""
    width, height = sheet_px(face.fit.size_mm, ppi)
    sheet: Pixels = np.full((height, width, 3), 255, dtype=np.uint8)
    for placed in face.pictures:
        _lay_picture(sheet, placed, ppi, space)
    for text in face.texts:
        _lay_text(sheet, text, ppi)
    return sheet


def sheet_px(size_mm: tuple[float, float], ppi: float) -> tuple[int, int]:
    """Width and height of the open sheet in whole pixels, nearest."""
    return round(mm_to_px(size_mm[0], ppi)), round(mm_to_px(size_mm[1], ppi))


def box_px(box: Box, ppi: float, sheet: tuple[int, int]) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of a box, each edge on its nearest pixel and inside the sheet (w, h)."""
    left, top, right, bottom = (round(mm_to_px(edge, ppi)) for edge in (box.x, box.y, box.right, box.bottom))
    return max(left, 0), max(top, 0), min(right, sheet[0]), min(bottom, sheet[1])


def turned(pixels: Pixels, turn_deg: int) -> Pixels:
    """Pixels (h, w, …) turned clockwise by a multiple of 90°."""
    return np.rot90(pixels, -(turn_deg // 90))


def _lay_picture(sheet: Pixels, placed: PlacedPicture, ppi: float, space: Space) -> None:
    left, top, right, bottom = box_px(placed.box_mm, ppi, (sheet.shape[1], sheet.shape[0]))
    size = (right - left, bottom - top)
    upright = size if placed.frame.turn_deg in (0, 180) else size[::-1]
    pixels = pixels_for(placed.picture, placed.part_px, upright, space)
    sheet[top:bottom, left:right] = turned(pixels, placed.frame.turn_deg)


def _lay_text(sheet: Pixels, placed: PlacedText, ppi: float) -> None:
    """Black letters with grey edges, each at its own place, so that lines are as long as measured."""
    size_px = mm_to_px(placed.asked.size_pt * MM_PER_POINT, ppi)
    font = _pillow_font(placed, size_px)
    pad = math.ceil(size_px)  # letters may reach beyond their advance and their ascender
    x0, y0, block_w, block_h = _upright_block(placed, ppi)
    mask = Image.new("L", (block_w + 2 * pad, block_h + 2 * pad), 0)
    pen = ImageDraw.Draw(mask)
    for line in placed.lines:
        start = mm_to_px(line.x_mm, ppi) - x0 + pad
        baseline = mm_to_px(line.baseline_mm, ppi) - y0 + pad
        for character, (_, place_em) in zip(line.text, placed.font.places(line.text), strict=True):
            pen.text((start + place_em * size_px, baseline), character, fill=255, font=font, anchor="ls")
    cover = turned(np.asarray(mask), placed.frame.turn_deg)
    left = round(mm_to_px(placed.box_mm.x, ppi)) - pad
    top = round(mm_to_px(placed.box_mm.y, ppi)) - pad
    _darken(sheet, cover, left, top)


def _upright_block(placed: PlacedText, ppi: float) -> tuple[float, float, int, int]:
    """The text's block on its upright panel, in pixels: x, y, and the size rounded up."""
    left = min(line.x_mm for line in placed.lines)
    em = placed.asked.size_pt * MM_PER_POINT
    top = placed.lines[0].baseline_mm - placed.font.ascent / placed.font.per_em * em
    box = placed.box_mm
    width, height = (box.w, box.h) if placed.frame.turn_deg in (0, 180) else (box.h, box.w)
    return (
        mm_to_px(left, ppi),
        mm_to_px(top, ppi),
        math.ceil(mm_to_px(width, ppi)),
        math.ceil(mm_to_px(height, ppi)),
    )


def _pillow_font(placed: PlacedText, size_px: float) -> ImageFont.FreeTypeFont:
    import io

    return ImageFont.truetype(io.BytesIO(placed.font.data), size_px, layout_engine=ImageFont.Layout.BASIC)


def _darken(sheet: Pixels, cover: Pixels, left: int, top: int) -> None:
    """Lay black ink over the sheet; ``cover`` (h, w) is 255 where it hides all. The rest is cut off."""
    height, width = cover.shape
    y0, x0 = max(top, 0), max(left, 0)
    window = sheet[y0 : max(top + height, 0), x0 : max(left + width, 0)]
    part = cover[y0 - top : y0 - top + window.shape[0], x0 - left : x0 - left + window.shape[1], None]
    window[...] = np.rint(window * (1.0 - part / np.float32(255))).astype(np.uint8)
