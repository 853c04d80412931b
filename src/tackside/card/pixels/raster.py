"""A face of the card as pixels on the printer's grid, streamed: nothing but small shapes is held in memory, and what a
run shows on card after card."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
import pyvips

from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedFill, PlacedPicture
from tackside.card.pixels.conversion import OutputColour, Sharpening
from tackside.card.pixels.cover import Affine, Cover, corners, laid_over, quad
from tackside.card.pixels.resample import are_expected, made_once, made_ready, on_sheet
from tackside.fit.placement.correction import IDENTITY, Correction
from tackside.units import MM_PER_INCH, Box, mm_to_px, sheet_px

Window = tuple[int, int, int, int]
Made = TypeVar("Made")


class FaceGround:
    """Bare card with a face's fills and pictures, in memory, and what was made of it for files."""

    def __init__(self, image: pyvips.Image) -> None:
        self.image = image
        self._made: dict[Hashable, Any] = {}

    def once(self, how: Hashable, make: Callable[[], Made]) -> Made:
        """What ``make`` gives of the ground; made again only where it was not made that way before."""
        if how not in self._made:
            self._made[how] = make()
        return self._made[how]  # type: ignore[no-any-return]  # ``how`` leads to what its own ``make`` gave


@dataclass(frozen=True, eq=False)
class DrawnPart:
    """``image`` is the sheet. Where it was laid on a ``ground`` that is kept, it differs from it only in the rows of
    pixels ``changed``, each (first, past the last), in no order."""

    image: pyvips.Image
    ground: FaceGround | None
    changed: tuple[tuple[int, int], ...]


def render(
    face: CardFace,
    ppi: float,
    colour: OutputColour,
    *,
    sharpening: Sharpening | None = None,
    correction: Correction = IDENTITY,
) -> DrawnPart:
    """The whole open sheet, RGB of 8 bits, in the output's numbers; bare card where nothing stands.

    ``correction`` takes wanted places on the sheet to those that the file must have. libvips computes when
    pixels are asked for, and its errors come then.
    """
    ground = _ground_once(face, ppi, colour, sharpening, correction)
    sheet = ground.image if ground else _ground(face, ppi, colour, sharpening, correction)
    to_px = np.asarray(correction.matrix, dtype=np.float64) * ppi / MM_PER_INCH
    changed = []
    for cover in laid_over(face, to_px, (sheet.width, sheet.height)):
        sheet = inked(sheet, cover, colour)
        changed.append((cover.top, cover.top + cover.share.shape[0]))
    return DrawnPart(sheet.copy(xres=ppi / MM_PER_INCH, yres=ppi / MM_PER_INCH), ground, tuple(changed))


def _ground_once(
    face: CardFace, ppi: float, colour: OutputColour, sharpening: Sharpening | None, correction: Correction
) -> FaceGround | None:
    """The ground where a run lays its words on the same one card after card."""
    pictures = [placed.picture.path for placed in face.pictures]
    if not are_expected(pictures):
        return None
    places = tuple(placed.place for placed in face.pictures)
    how = (face.fit.size_mm, face.fills, places, ppi, colour, sharpening, correction)
    # The pictures need not be kept as well: nobody asks for them again.
    return made_once(
        pictures,
        how,
        lambda: FaceGround(_ground(face, ppi, colour, sharpening, correction, keep=False).copy_memory()),
    )


def _ground(
    face: CardFace,
    ppi: float,
    colour: OutputColour,
    sharpening: Sharpening | None,
    correction: Correction,
    *,
    keep: bool = True,
) -> pyvips.Image:
    """Bare card with the face's fills and pictures."""
    size = sheet_px(face.fit.size_mm, ppi)
    to_px = np.asarray(correction.matrix, dtype=np.float64) * ppi / MM_PER_INCH
    sheet = pyvips.Image.black(1, 1, bands=3).linear(1, 255, uchar=True).embed(0, 0, *size, extend="copy")
    sheet = sheet.copy(interpretation="srgb")
    for fill in face.fills:
        sheet = _with_fill(sheet, fill, to_px, ppi, colour, exact=correction.is_identity)
    for placed in face.pictures:
        sheet = _with_picture(sheet, placed, ppi, colour, sharpening, correction, keep=keep)
    return sheet


def box_px(box: Box, ppi: float, sheet: tuple[int, int]) -> Window:
    """Left, top, width and height of a box, each edge on its nearest pixel and inside the sheet (w, h)."""
    left, top, right, bottom = (round(mm_to_px(edge, ppi)) for edge in (box.x, box.y, box.right, box.bottom))
    left, top = min(max(left, 0), sheet[0]), min(max(top, 0), sheet[1])
    return left, top, max(min(right, sheet[0]) - left, 0), max(min(bottom, sheet[1]) - top, 0)


def inked(sheet: pyvips.Image, cover: Cover, colour: OutputColour) -> pyvips.Image:
    """The sheet with a flat colour laid over it where ``cover`` is."""
    height, width = cover.share.shape
    ground = sheet.crop(cover.left, cover.top, width, height)
    mask = pyvips.Image.new_from_array(cover.share)
    ink = [value * 255 for value in colour.of_rgb(cover.rgb)]
    return sheet.insert(mask.ifthenelse(ink, ground, blend=True), cover.left, cover.top)


def _with_fill(
    sheet: pyvips.Image, fill: PlacedFill, to_px: Affine, ppi: float, colour: OutputColour, *, exact: bool
) -> pyvips.Image:
    size = (sheet.width, sheet.height)
    if not exact:
        for cover in quad(corners(fill.box_mm), fill.rgb, to_px, size):
            sheet = inked(sheet, cover, colour)
        return sheet
    left, top, width, height = box_px(fill.box_mm, ppi, size)
    if not width or not height:
        return sheet
    ink = [round(value * 255) for value in colour.of_rgb(fill.rgb)]
    flat = (
        pyvips.Image.black(1, 1, bands=3).linear(1, ink, uchar=True).embed(0, 0, width, height, extend="copy")
    )
    return sheet.insert(flat, left, top)


def _with_picture(
    sheet: pyvips.Image,
    placed: PlacedPicture,
    ppi: float,
    colour: OutputColour,
    sharpening: Sharpening | None,
    correction: Correction,
    *,
    keep: bool,
) -> pyvips.Image:
    size = (sheet.width, sheet.height)
    if correction.is_identity:
        window = box_px(placed.box_mm, ppi, size)
        if not window[2] or not window[3]:
            return sheet
        ready = made_ready(placed, ppi, size, colour, sharpening, keep=keep)
        return sheet.insert(on_sheet(ready, placed.frame.turn_deg, None, size, window), *window[:2])
    # A corrected box has slanting edges: its pixels are laid through a mask.
    to_px = np.asarray(correction.matrix, dtype=np.float64) * ppi / MM_PER_INCH
    ready = made_ready(placed, ppi, size, colour, sharpening, keep=keep)
    for cover in quad(corners(placed.box_mm), (0.0, 0.0, 0.0), to_px, size):
        height, width = cover.share.shape
        window = (cover.left, cover.top, width, height)
        in_px = to_px.copy()
        in_px[:, :2] *= MM_PER_INCH / ppi  # pixels to pixels; the shift is in pixels already
        pixels = on_sheet(ready, placed.frame.turn_deg, in_px, size, window)
        if not (cover.share == 255).all():
            ground = sheet.crop(*window)
            pixels = pyvips.Image.new_from_array(cover.share).ifthenelse(pixels, ground, blend=True)
        sheet = sheet.insert(pixels, cover.left, cover.top)
    return sheet
